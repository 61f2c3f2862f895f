"""The set-out sheet: two people, two tapes and a string line put the cones down."""

from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from .course import Cone, Course, Lane
from .ranges import Range

BASE = Range(name="cone_base_mm", label="Width of the cone's base", low=0, high=600, unit="mm")
TOLERANCE = Range(name="tolerance_mm", label="Tolerance of a cone's place", low=1, high=200, unit="mm")
MARGIN = Range(name="side_margin_m", label="Margin beside the course", low=0, high=100, unit="m")
STEPS = (
    "Stretch the string line along the right-hand boundary of section 1 and well past the end: the baseline.",
    "Peg x = 0 on it, then every station, all taped from x = 0 so that errors do not add up.",
    "Square the first offset with the triangle; set each offset square to the line at its station.",
    "Check every diagonal before driving; reset the cone when it is out by more than its tolerance.",
    "Lane limits are tangent to the cone bases: the middle of a cone stands half a base outside.",
    "For a log: take the two positions on the string line, at x = 0 and well along it, not at the middle of a cone.",
)


@dataclass(frozen=True, kw_only=True)
class Mark:
    """One cone: its station on the baseline, the offset of the lane limit and of its middle [m]."""

    number: int
    section: int
    side: str
    station_m: float
    limit_m: float
    offset_m: float


@dataclass(frozen=True, kw_only=True)
class Diagonal:
    """A check measurement between the middles of two cones, by number [m]."""

    first: int
    second: int
    length_m: float
    tolerance_m: float


@dataclass(frozen=True, kw_only=True)
class SetOut:
    """Everything on the sheet. ``triangle_m`` squares the baseline: two sides and the hypotenuse."""

    marks: tuple[Mark, ...]
    diagonals: tuple[Diagonal, ...]
    triangle_m: tuple[float, float, float]
    tolerance_mm: float
    length_m: float
    width_m: float
    area_m2: float
    steps: tuple[str, ...]
    cautions: tuple[str, ...]


def sheet(
    *, course: Course, cone_base_mm: float = 300.0, tolerance_mm: float = 20.0, side_margin_m: float = 0.0
) -> SetOut:
    """Stations and offsets of all cones from one baseline, and the diagonals that check them.

    Parameters
    ----------
    course : the course as laid out [m]
    cone_base_mm : width of the cone's base; its middle stands half of it outside the lane [mm]
    tolerance_mm : how far a cone may be from its place, in any direction [mm]
    side_margin_m : kept free on each side, counted in the area [m]

    Returns
    -------
    SetOut [m, m²]. Each lane has both its diagonals, which are equal, and lanes that follow each
    other are tied by one more.

    Raises
    ------
    CalculationError : base, tolerance or margin out of range.

    Notes
    -----
    A diagonal between two cones that are each within the tolerance t is within 2 t. The default
    tolerance and base are common practice. Offsets are negative to the right of the baseline.

    Example
    -------
    >>> from vehicles.calculations.course import lay_out
    >>> found = sheet(course=lay_out(width_mm=1885))
    >>> len(found.marks), len(found.diagonals)
    (18, 8)

    Source: Pythagoras; lane limits tangent to the cone bases as in ISO 3888-2, for part 1 from memory.
    """
    outside = BASE.check(cone_base_mm) / 2000
    TOLERANCE.check(tolerance_mm)
    MARGIN.check(side_margin_m)
    marks = tuple(_mark(number, cone, outside) for number, cone in enumerate(course.cones, start=1))
    edges = [mark.limit_m for mark in marks]
    width = max(edges) - min(edges) + 2 * side_margin_m
    return SetOut(
        marks=marks,
        diagonals=_diagonals(marks, course.lanes, 2 * tolerance_mm / 1000),
        triangle_m=(9.0, 12.0, 15.0),
        tolerance_mm=tolerance_mm,
        length_m=course.length_m,
        width_m=width,
        area_m2=course.length_m * width,
        steps=STEPS,
        cautions=course.cautions,
    )


def _mark(number: int, cone: Cone, outside_m: float) -> Mark:
    return Mark(
        number=number,
        section=cone.section,
        side=cone.side,
        station_m=cone.x_m,
        limit_m=cone.y_m,
        offset_m=cone.y_m + (outside_m if cone.side == "left" else -outside_m),
    )


def _diagonals(marks: tuple[Mark, ...], lanes: tuple[Lane, ...], tolerance_m: float) -> tuple[Diagonal, ...]:
    at = {(mark.station_m, mark.side): mark for mark in marks}
    pairs = []
    for lane in lanes:
        pairs.append((at[lane.start_m, "right"], at[lane.end_m, "left"]))
        pairs.append((at[lane.start_m, "left"], at[lane.end_m, "right"]))
    for before, after in pairwise(lanes):
        pairs.append((at[before.end_m, "right"], at[after.start_m, "right"]))
    return tuple(
        Diagonal(
            first=first.number,
            second=second.number,
            length_m=hypot(second.station_m - first.station_m, second.offset_m - first.offset_m),
            tolerance_m=tolerance_m,
        )
        for first, second in pairs
    )
