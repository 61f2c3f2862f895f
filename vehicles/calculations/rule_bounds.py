"""What the numbers of an edition can be: a slipped digit is caught before it decides anything."""

import re
from collections.abc import Mapping

Bounds = tuple[float, float]

# Wide enough for any plausible rule, narrow enough for a slipped digit (common practice, no published source).
_MASS: Bounds = (40, 150)
_DENSITY: Bounds = (400, 1_100)
_SPEED: Bounds = (20, 130)
# What the work-up cannot do without; the national edition has to state each of these numbers.
REQUIRED_NUMBERS: Mapping[str, Bounds] = {
    "lt2.gvm_limit_kg": (1_000, 12_000),
    "seat.occupant_kg": _MASS,
    "seat.luggage_kg": (0, 100),
    "driver.minimum_kg": _MASS,
    "fuel.fraction": (0.1, 1),
    "fuel.petrol_kg_per_m3": _DENSITY,
    "fuel.diesel_kg_per_m3": _DENSITY,
    "fuel.lpg_kg_per_m3": _DENSITY,
    "speed.target_passenger_kmh": _SPEED,
    "speed.target_other_kmh": _SPEED,
    "speed.first_max_kmh": _SPEED,
    "speed.first_max_high_lift_kmh": _SPEED,
    "speed.high_lift_mm": (0, 500),
    "speed.step_kmh": (1, 10),
    "wind.limit_mps": (0.5, 15),
    "course.offset_m": (1, 6),
    "category.goods_factor": (0.1, 1),
    "category.seat_kg": _MASS,
}
SETTINGS: Mapping[str, tuple[str, ...]] = {"course.datum": ("right_edge", "centre")}
REQUIRED = (*REQUIRED_NUMBERS, *SETTINGS)
# Numbers that something is compared with need to say how.
COMPARED = ("lt2.gvm_limit_kg", "driver.minimum_kg", "speed.high_lift_mm", "wind.limit_mps")
# Numbers of these families are limits of a jurisdiction, on one of the quantities below.
LIMITS = ("lt2.", "uncertified.", "certified.")
_LIMIT = re.compile(r"(lt2|uncertified|certified)\.[a-z0-9_]{1,40}", re.ASCII)
LIMIT_BOUNDS: Bounds = (0, 1_000)
QUANTITIES = (
    None, "suspension_mm", "body_mm", "tyre_mm", "total_mm", "tyre_percent", "tyre_diameter_mm", "track_mm",
)  # fmt: skip
COMPARISONS = (None, "more_than", "at_least")


def bounds_of(name: str) -> Bounds | None:
    """The range of the number by that name; None when no rule is known by it.

    Parameters: the name. Returns: lowest and highest, in the name's own unit [mm, kg, ...].

    >>> bounds_of("seat.occupant_kg"), bounds_of("uncertified.total_mm"), bounds_of("total_mm")
    ((40, 150), (0, 1000), None)

    Source: our own, wide enough for any light vehicle.
    """
    if name in REQUIRED_NUMBERS:
        return REQUIRED_NUMBERS[name]
    return LIMIT_BOUNDS if _LIMIT.fullmatch(name) else None
