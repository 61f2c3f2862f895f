"""One made-up vehicle with everything measured: what the examples in this module's docstrings compute with."""

from collections.abc import Mapping

from .case import Case
from .parse_case import parse_case

EXAMPLE: Mapping[str, object] = {
    "jurisdiction": "NSW",
    "vehicle": {
        "adr_category": "MC",
        "gvm_kg": 2950,
        "seats": 5,
        "empty_mass_kg": 2165,
        "front_axle_kg": 1150,
        "rear_axle_kg": 1015,
        "front_axle_rating_kg": 1480,
        "rear_axle_rating_kg": 1780,
        "overall_width_mm": 1885,
        "overall_length_mm": 4825,
        "wheelbase_mm": 2790,
        "front_overhang_mm": 900,
        "track_front_mm": 1585,
        "track_rear_mm": 1585,
        "overall_height_mm": 1895,
        "cg_height_mm": 760,
        "fuel": "diesel",
        "fuel_tank_l": 87,
        "fuel_level": 0.4,
        "tyre": "265/65R17",
        "esc": True,
        "market_value_aud": 38000,
    },
    "modifications": [
        {"kind": "suspension_lift", "front_mm": 50, "rear_mm": 50},
        {"kind": "tyre_change", "to": "285/70R17"},
    ],
    "crew": {"driver_kg": 80, "driver_is_owner": False, "instruments_kg": 12},
    "places": {"driver_x_mm": 1340, "fuel_x_mm": 2380, "instruments_x_mm": 1500, "luggage_x_mm": 3150},
    "seat_rows": [{"x_mm": 1340, "seats": 2}, {"x_mm": 2230, "seats": 3}],
    "corner_weights": {"front_left_kg": 571, "front_right_kg": 579, "rear_left_kg": 512, "rear_right_kg": 503},
}


def example_case() -> Case:
    """A raised wagon in NSW as a case: 2,165 kg empty, GVM 2,950 kg, 50 mm of lift and larger tyres.

    Parameters: none. Returns: Case [mm, kg, L]. Raises nothing.

    >>> example_case().vehicle.gvm_kg
    2950.0

    Source: made up, within the range of such wagons.
    """
    return parse_case(EXAMPLE)
