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
        ("total_mm: see the ledger of heights", []),
        ("a sentence of its own", ["a sentence of its own"]),
    ],
)
def test_each_line_reads_as_a_person_would_say_it(text, shown):
    assert plainly([text]) == shown
