"""The worked example with everything measured that the loading plan and the axle lift ask for."""

from tests.calculations.cases import raw
from vehicles.calculations.parse_case import parse_case
from vehicles.calculations.workup import work_up
from vehicles.reference import ballast_stock, price_book, rule_set

PLACES = {
    "driver_x_mm": 1340,
    "fuel_x_mm": 2380,
    "instruments_x_mm": 1500,
    "luggage_x_mm": 3150,
    "goods_x_mm": 2900,
}
ROWS = ({"x_mm": 1340, "seats": 2}, {"x_mm": 2230, "seats": 3})
CORNERS = {"front_left_kg": 571, "front_right_kg": 579, "rear_left_kg": 512, "rear_right_kg": 503}
LIFT = {
    "raised_axle": "front",
    "static_radius_mm": 400,
    "steps": [
        {"raised_mm": 300, "held_axle_kg": 1044},
        {"raised_mm": 450, "held_axle_kg": 1060},
        {"raised_mm": 600, "held_axle_kg": 1076},
    ],
}


def measured(*modifications, rows=ROWS, corners=None, lift=None, places=PLACES, **changes):
    """The example as raw data with places and rows of seats, and what else is given."""
    data = raw(*modifications, places=places, **changes)
    given = {"seat_rows": rows and list(rows), "corner_weights": corners, "axle_lift": lift}
    return data | {name: value for name, value in given.items() if value is not None}


def worked(*modifications, with_demand=False, stock=None, **changes):
    one = parse_case(measured(*modifications, **changes))
    return work_up(
        one,
        rules=rule_set(one.jurisdiction),
        prices=price_book(),
        stock=stock or ballast_stock(),
        with_demand=with_demand,
    )
