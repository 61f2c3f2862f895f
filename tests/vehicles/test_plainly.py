"""Keys of the case file never reach the screen."""

import pytest

from vehicles.plainly import plainly


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("modifications[0].rear_mm: measure the change", ["Modification 1, rear: measure the change"]),
        ("vehicle.gvm_kg: from the plate", ["GVM: from the plate"]),
        ("crew.driver_kg: weigh the driver", ["Driver's mass: weigh the driver"]),
        ("places.fuel_x_mm: measure how far", ["Fuel tank behind the front axle: measure how far"]),
        (
            "axle_lift.steps[1].held_axle_kg: read the scale",
            ["Axle lift, step 2, axle that stays down: read the scale"],
        ),
        ("corner_weights.rear_left_kg: weigh it", ["Rear left wheel: weigh it"]),
        ("seat_rows: measure each row", ["Rows of seats: measure each row"]),
        ("total_mm: see the ledger of heights", []),
        ("a sentence of its own", ["a sentence of its own"]),
    ],
)
def test_each_line_reads_as_a_person_would_say_it(text, shown):
    assert plainly([text]) == shown
