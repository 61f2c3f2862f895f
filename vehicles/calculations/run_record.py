"""One pass through the course, as it was written down."""

from dataclasses import dataclass

from .errors import CalculationError
from .ranges import Range

SPEED = Range(name="speed_kmh", label="Speed", low=5, high=150, unit="km/h")
AIMED = Range(name="speed_kmh", label="Speed", low=5, high=150, unit="km/h", whole=True)
MEASURED = Range(name="measured_kmh", label="Speed measured", low=0, high=200, unit="km/h")
MASSES = {"tm1": "Test Mass 1", "tm2": "Test Mass 2"}
OUTCOMES = ("clean", "cones", "aborted")


@dataclass(frozen=True, kw_only=True)
class RunRecord:
    """One pass through the course.

    ``counts`` is False for a run that proves nothing either way: wind or surface out of limits,
    or driven before the vehicle, its tyres or its load were changed (a stale run). Speeds [km/h].
    Raises CalculationError for an unknown mass or outcome, an aim outside whole 5 to 150 km/h, a
    measured speed outside 0 to 200 km/h.
    """

    mass: str
    aimed_kmh: int
    measured_kmh: float | None
    outcome: str
    counts: bool = True

    def __post_init__(self) -> None:
        if self.mass not in MASSES:
            raise CalculationError(quantity="mass", value=repr(self.mass), allowed=" or ".join(MASSES))
        if self.outcome not in OUTCOMES:
            allowed = ", ".join(OUTCOMES)
            raise CalculationError(quantity="outcome", value=repr(self.outcome), allowed=allowed)
        AIMED.check(self.aimed_kmh)
        if self.measured_kmh is not None:
            MEASURED.check(self.measured_kmh)
