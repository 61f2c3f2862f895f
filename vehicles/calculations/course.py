"""The double lane-change course of ISO 3888-1, for a vehicle of a given overall width."""

from dataclasses import dataclass

from .errors import CalculationError
from .explain import Working
from .ranges import VEHICLE, Range

SOURCE = "ISO 3888-1 as two independent public sources give it"
CAUTION = (
    "Sources disagree on what the 3.5 m offset is measured between (right boundaries or lane centres): "
    "confirm against your copy of ISO 3888-1 before setting out."
)
DATUMS = ("right_edge", "centre")
LENGTHS_M = (15.0, 30.0, 25.0, 25.0, 15.0, 15.0)
# Section: (factor of the overall width, clearance added in m). Sections 2 and 4 have no lane.
WIDTHS = {1: (1.1, 0.25), 3: (1.2, 0.25), 5: (1.3, 0.25), 6: (1.3, 0.25)}
LANES = ((1, 1), (3, 3), (5, 6))
OFFSET = Range(name="offset_m", label="Offset of the side lane", low=0, high=10, unit="m")


@dataclass(frozen=True, kw_only=True)
class Section:
    """One of the six sections; 2 and 4, where the lane is changed, have no boundaries."""

    number: int
    start_m: float
    length_m: float
    width_m: float | None
    right_y_m: float | None
    left_y_m: float | None

    @property
    def end_m(self) -> float:
        return self.start_m + self.length_m


@dataclass(frozen=True, kw_only=True)
class Cone:
    """A cone by the point where its base touches the lane: x along the course, y to the left."""

    x_m: float
    y_m: float
    section: int
    side: str


@dataclass(frozen=True, kw_only=True)
class Lane:
    """A gate to be driven through: one section, or the two that make the last lane."""

    sections: tuple[int, int]
    start_m: float
    end_m: float
    width_m: float
    right_y_m: float
    left_y_m: float


@dataclass(frozen=True, kw_only=True)
class Course:
    """The whole course; lengths m. y = 0 is the right-hand boundary of section 1."""

    length_m: float
    offset_m: float
    datum: str
    overall_width_m: float
    sections: tuple[Section, ...]
    lanes: tuple[Lane, ...]
    cones: tuple[Cone, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = (CAUTION,)


def lay_out(*, width_mm: float, offset_m: float = 3.5, datum: str = "right_edge") -> Course:
    """Sections, lanes and all 18 cones of the course: lane width = factor × w + 0.25 m.

    Parameters
    ----------
    width_mm : overall width w of the vehicle [mm]
    offset_m : offset of the side lane (section 3) [m]
    datum : "right_edge", the offset lies between the right boundaries of sections 1 and 3, and
        the last lane is aligned with section 1 on the right; or "centre", it lies between the
        centre lines, and the last lane has the centre line of section 1 [-]

    Returns
    -------
    Course [m]: x along the course from its start, y to the driver's left from the right-hand
    boundary of section 1. The first move is to the left.

    Raises
    ------
    CalculationError : width outside 1,000 to 2,600 mm, offset outside 0 to 10 m, unknown datum.

    Notes
    -----
    Three lanes carry cones at the start, middle and end of each side; the middle of the last
    lane is the joint of sections 5 and 6. The two datums differ by 0.05 w at section 3.

    Example
    -------
    >>> course = lay_out(width_mm=1800)
    >>> [round(s.width_m, 2) for s in course.sections if s.width_m]
    [2.23, 2.41, 2.59, 2.59]
    >>> course.length_m, len(course.cones)
    (125.0, 18)

    Source: ISO 3888-1:2018 as public sources give it; not to be confused with ISO 3888-2.
    """
    width_m = VEHICLE["overall_width_mm"].check(width_mm) / 1000
    OFFSET.check(offset_m)
    if datum not in DATUMS:
        raise CalculationError(quantity="datum", value=repr(datum), allowed=" or ".join(DATUMS))
    lanes = tuple(_lane(sections=sections, width_m=width_m, offset_m=offset_m, datum=datum) for sections in LANES)
    return Course(
        length_m=sum(LENGTHS_M),
        offset_m=offset_m,
        datum=datum,
        overall_width_m=width_m,
        sections=_sections(lanes),
        lanes=lanes,
        cones=tuple(cone for lane in lanes for cone in _cones(lane)),
        workings=tuple(_working(number=first, width_m=width_m) for first, _ in LANES),
    )


def _lane_width(number: int, width_m: float) -> float:
    factor, clearance_m = WIDTHS[number]
    return factor * width_m + clearance_m


def _right_edge(*, number: int, width_m: float, offset_m: float, datum: str) -> float:
    shift = offset_m if number == 3 else 0.0
    if datum == "right_edge":
        return shift
    return shift + (_lane_width(1, width_m) - _lane_width(number, width_m)) / 2


def _sections(lanes: tuple[Lane, ...]) -> tuple[Section, ...]:
    by_section = {number: lane for lane in lanes for number in lane.sections}
    found = []
    start = 0.0
    for number, length in enumerate(LENGTHS_M, start=1):
        lane = by_section.get(number)
        found.append(
            Section(
                number=number,
                start_m=start,
                length_m=length,
                width_m=lane.width_m if lane else None,
                right_y_m=lane.right_y_m if lane else None,
                left_y_m=lane.left_y_m if lane else None,
            )
        )
        start += length
    return tuple(found)


def _lane(*, sections: tuple[int, int], width_m: float, offset_m: float, datum: str) -> Lane:
    first, last = sections
    right = _right_edge(number=first, width_m=width_m, offset_m=offset_m, datum=datum)
    lane_width = _lane_width(first, width_m)
    return Lane(
        sections=sections,
        start_m=sum(LENGTHS_M[: first - 1]),
        end_m=sum(LENGTHS_M[:last]),
        width_m=lane_width,
        right_y_m=right,
        left_y_m=right + lane_width,
    )


def _cones(lane: Lane) -> tuple[Cone, ...]:
    first, last = lane.sections
    places = ((lane.start_m, first), ((lane.start_m + lane.end_m) / 2, first), (lane.end_m, last))
    return tuple(
        Cone(x_m=x, y_m=y, section=section, side=side)
        for x, section in places
        for side, y in (("right", lane.right_y_m), ("left", lane.left_y_m))
    )


def _working(*, number: int, width_m: float) -> Working:
    factor, clearance_m = WIDTHS[number]
    return Working(
        quantity=f"Width of section {number}" if number < 5 else "Width of sections 5 and 6",
        formula=f"{factor:g} × w + {clearance_m:g} m",
        inputs={"w": f"{width_m:g} m"},
        value=_lane_width(number, width_m),
        unit="m",
        source=SOURCE,
    )
