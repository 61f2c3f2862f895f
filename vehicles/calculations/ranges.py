"""What a light vehicle can be: the range of every quantity that enters.

The same table serves the case file, the forms and the database constraints. Limits are wide
enough for anything that can be registered as a light vehicle or crosses into heavy by a GVM
upgrade, and narrow enough to catch a slipped digit or a wrong unit (common practice, no
published source).
"""

from dataclasses import dataclass
from math import isfinite

from .errors import CalculationError


@dataclass(frozen=True, kw_only=True)
class Range:
    """Closed range of a quantity, with its unit and the name a person knows it by."""

    name: str
    label: str
    low: float
    high: float
    unit: str
    whole: bool = False

    def __str__(self) -> str:
        return f"{self.low:,.12g} to {self.high:,.12g} {self.unit}".rstrip()

    def check(self, value: float) -> float:
        """Return the value when it lies in the range.

        Raises CalculationError, naming quantity, value and range, for values outside it, for
        NaN and infinities, and for fractions of a thing that is counted.
        """
        if not isfinite(value) or not self.low <= value <= self.high:
            raise CalculationError(quantity=self.name, value=value, allowed=str(self))
        if self.whole and value != int(value):
            raise CalculationError(quantity=self.name, value=value, allowed=f"whole numbers from {self}")
        return value


def _table(*rows: Range) -> dict[str, Range]:
    return {row.name: row for row in rows}


VEHICLE = _table(
    Range(name="gvm_kg", label="GVM", low=300, high=12_000, unit="kg"),
    Range(name="seats", label="Seats", low=1, high=24, unit="", whole=True),
    Range(name="empty_mass_kg", label="Empty mass as weighed", low=200, high=10_000, unit="kg"),
    Range(name="front_axle_kg", label="Front axle as weighed", low=50, high=6_000, unit="kg"),
    Range(name="rear_axle_kg", label="Rear axle as weighed", low=50, high=8_000, unit="kg"),
    Range(name="front_axle_rating_kg", label="Front axle rating", low=100, high=8_000, unit="kg"),
    Range(name="rear_axle_rating_kg", label="Rear axle rating", low=100, high=10_000, unit="kg"),
    Range(name="overall_width_mm", label="Overall width", low=1_000, high=2_600, unit="mm"),
    Range(name="overall_length_mm", label="Overall length", low=1_800, high=9_000, unit="mm"),
    Range(name="wheelbase_mm", label="Wheelbase", low=1_200, high=6_000, unit="mm"),
    Range(name="front_overhang_mm", label="Front overhang", low=200, high=2_000, unit="mm"),
    Range(name="track_front_mm", label="Track, front", low=800, high=2_300, unit="mm"),
    Range(name="track_rear_mm", label="Track, rear", low=800, high=2_300, unit="mm"),
    Range(name="overall_height_mm", label="Overall height", low=800, high=4_300, unit="mm"),
    Range(name="cg_height_mm", label="Height of the centre of gravity", low=200, high=1_800, unit="mm"),
    Range(name="fuel_tank_l", label="Fuel tank", low=0, high=400, unit="L"),
    Range(name="fuel_level", label="Fuel level when weighed", low=0, high=1, unit="of the tank"),
    Range(name="market_value_aud", label="Market value", low=0, high=5_000_000, unit="AUD"),
)

CREW = _table(
    Range(name="driver_kg", label="Driver's mass", low=35, high=250, unit="kg"),
    Range(name="instruments_kg", label="Instruments", low=0, high=300, unit="kg"),
    Range(name="missing_equipment_kg", label="Missing standard equipment", low=0, high=500, unit="kg"),
)

# Distances behind the front axle of what goes aboard.
PLACES = _table(
    *(
        Range(name=f"{name}_x_mm", label=f"{label} behind the front axle", low=-2_000, high=8_000, unit="mm")
        for name, label in (
            ("driver", "Driver"),
            ("fuel", "Fuel tank"),
            ("instruments", "Instruments and missing equipment"),
            ("seats", "Seat ballast"),
            ("luggage", "Luggage area"),
            ("goods", "Goods area"),
        )
    )
)

MODIFICATION = _table(
    Range(name="front_mm", label="Front", low=0, high=400, unit="mm"),
    Range(name="rear_mm", label="Rear", low=0, high=400, unit="mm"),
    Range(name="lift_mm", label="Body lift", low=0, high=300, unit="mm"),
    Range(name="change_mm", label="Change of wheelbase", low=-2_000, high=3_000, unit="mm"),
    Range(name="from_diameter_mm", label="Diameter of the original size, measured", low=400, high=1_200, unit="mm"),
    Range(name="to_diameter_mm", label="Diameter of the size now fitted, measured", low=400, high=1_200, unit="mm"),
    Range(name="seats", label="Seats afterwards", low=1, high=24, unit="", whole=True),
    Range(name="to_kg", label="GVM afterwards", low=300, high=12_000, unit="kg"),
    Range(name="mass_kg", label="Mass", low=0, high=3_000, unit="kg"),
    Range(name="height_mm", label="Height of its centre above the ground", low=0, high=4_300, unit="mm"),
    Range(name="x_mm", label="Place behind the front axle", low=-2_000, high=8_000, unit="mm"),
)

TRACK_CHANGE = _table(
    Range(name="front_mm", label="Front track change", low=-300, high=300, unit="mm"),
    Range(name="rear_mm", label="Rear track change", low=-300, high=300, unit="mm"),
)

CORNERS = _table(
    *(
        Range(name=f"{axle}_{side}_kg", label=f"{axle.capitalize()} {side} wheel", low=10, high=5_000, unit="kg")
        for axle in ("front", "rear")
        for side in ("left", "right")
    )
)

# An error of nothing would give one step of the lift all the weight.
AXLE_LIFT = _table(
    Range(name="static_radius_mm", label="Static loaded radius of the tyres", low=150, high=700, unit="mm"),
    Range(name="scale_error_kg", label="Error of one reading of the scale", low=0.1, high=100, unit="kg"),
    Range(name="angle_error_deg", label="Error of the angle", low=0.01, high=5, unit="°"),
)

LIFT_STEP = _table(
    Range(name="raised_mm", label="Axle raised by", low=50, high=2_000, unit="mm"),
    Range(name="held_axle_kg", label="Axle that stays down", low=50, high=9_000, unit="kg"),
)

SEAT_ROW = _table(
    Range(name="x_mm", label="Row of seats behind the front axle", low=-2_000, high=8_000, unit="mm"),
    Range(name="seats", label="Seats in the row", low=1, high=6, unit="", whole=True),
)
