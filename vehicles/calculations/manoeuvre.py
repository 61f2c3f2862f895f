"""What the course asks of this vehicle at each speed, before anyone drives it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil

from .course import Course
from .errors import CalculationError
from .explain import Working
from .gate_path import GatePath, Window, least_peak
from .ranges import Range
from .rulesets import DUST
from .speeds import SPEED

GRAVITY_MPS2 = 9.80665
GRID_M = 1.25
JERK_MPS3 = 50.0
JERK = Range(name="jerk_mps3", label="Rate of change of lateral acceleration", low=5, high=1000, unit="m/s³")
WIDTH = Range(name="width_m", label="Width of the body", low=0.1, high=2.6, unit="m")
LENGTH = Range(name="length_m", label="Length of the body", low=0.1, high=9.0, unit="m")
CAUTION = (
    "Planning aid only: the demand is the least that this course asks of this body at constant speed and "
    "small angles; a real run needs more. The driver and the signatory decide on the day."
)


@dataclass(frozen=True, kw_only=True)
class Demand:
    """Least peak lateral acceleration at one speed, and one path (x, y) [m] that reaches it."""

    speed_kmh: int
    peak_lateral_g: float
    path: tuple[tuple[float, float], ...] = field(repr=False)
    asked: Mapping[str, str] = field(default_factory=dict, repr=False)
    caution: str = CAUTION

    @property
    def working(self) -> Working:
        """How the demand came about."""
        return Working(
            quantity=f"Least peak lateral acceleration at {self.speed_kmh} km/h",
            formula="min over y(x) of max v² |y''| / g, the body inside the lanes, v³ |y'''| limited",
            inputs={"v": f"{self.speed_kmh} km/h", "g": f"{GRAVITY_MPS2} m/s²", **self.asked},
            value=self.peak_lateral_g,
            unit="g",
            source="kinematics, linear programme; a bound from below, for planning",
        )


@dataclass(frozen=True, kw_only=True)
class Body:
    """A rectangle about its reference point on the path: reach ahead and behind, and width [m]."""

    width_m: float
    ahead_m: float
    behind_m: float


def body(*, width_m: float, length_m: float, front_overhang_m: float | None, wheelbase_m: float | None) -> Body:
    """The body about the point midway between the axles, which stands for the centre of gravity.

    Parameters: overall width and length, front overhang and wheelbase [m]. When overhang or
    wheelbase is not known the point is taken at half the length.

    Returns: Body [m]. Raises CalculationError for values out of range, or when overhang and
    wheelbase together are longer than the body.

    >>> body(width_m=1.9, length_m=4.8, front_overhang_m=0.9, wheelbase_m=2.8).behind_m
    2.5

    Source: plane geometry; the centre of gravity midway between the axles is an assumption.
    """
    WIDTH.check(width_m)
    LENGTH.check(length_m)
    if front_overhang_m is None or wheelbase_m is None:
        ahead = length_m / 2
    else:
        ahead = front_overhang_m + wheelbase_m / 2
        if not 0 < front_overhang_m <= front_overhang_m + wheelbase_m <= length_m + DUST:
            raise CalculationError(
                quantity="front_overhang_m and wheelbase_m",
                value=f"{front_overhang_m:g} + {wheelbase_m:g} m",
                allowed=f"a body of {length_m:g} m",
            )
    return Body(width_m=width_m, ahead_m=ahead, behind_m=length_m - ahead)


def demand(
    *,
    width_m: float,
    length_m: float,
    speeds_kmh: Sequence[int],
    course: Course,
    front_overhang_m: float | None = None,
    wheelbase_m: float | None = None,
    jerk_mps3: float | None = JERK_MPS3,
    grid_m: float = GRID_M,
) -> tuple[Demand, ...]:
    """The least peak lateral acceleration the course asks of this body: min max v² |y''|.

    Of all paths y(x) that keep the whole body inside the lanes at constant speed, with
    v³ |y'''| within the limit, the one with the least peak is found as a linear programme.

    Parameters
    ----------
    width_m, length_m : overall width and length of the body [m]
    speeds_kmh : speeds [km/h]
    course : the course as laid out [m]
    front_overhang_m, wheelbase_m : where the body sits about its axles, None if not known [m]
    jerk_mps3 : greatest rate of change of lateral acceleration, None for no limit [m/s³]
    grid_m : length of the grid's intervals [m]

    Returns
    -------
    One Demand for each speed: peak lateral acceleration [g] and a path that reaches it [m].

    Raises
    ------
    CalculationError : a speed, size or limit out of range; a body too wide for a lane.

    Notes
    -----
    A bound from below, for planning: constant speed, small slopes, heading along the path, no
    roll, no driver's error. The approach to the first lane is free. The default rate of 50 m/s³
    (0.6 g to the left into 0.6 g to the right in a quarter of a second) is faster than a
    driver steers, so that the bound stays one (from memory, no published source). A finer grid
    changes the result by less than 0.1 %.

    Example
    -------
    >>> from vehicles.calculations.course import lay_out
    >>> [d] = demand(width_m=1.8, length_m=4.5, speeds_kmh=[80], course=lay_out(width_mm=1800))
    >>> 0.2 < d.peak_lateral_g < 0.4
    True

    Source: kinematics; checked against hand-solved lane changes and a multi-body simulation.
    """
    for speed in speeds_kmh:
        SPEED.check(speed)
    if jerk_mps3 is not None:
        JERK.check(jerk_mps3)
    Range(name="grid_m", label="Grid", low=0.1, high=5, unit="m").check(grid_m)
    shape = body(width_m=width_m, length_m=length_m, front_overhang_m=front_overhang_m, wheelbase_m=wheelbase_m)
    start, span = -shape.ahead_m, course.length_m + length_m
    intervals = ceil(span / grid_m)
    nodes = [start + span * k / intervals for k in range(intervals + 1)]
    windows = tuple(_windows(course=course, shape=shape, nodes=nodes))
    asked = {
        "width": f"{width_m:g} m",
        "ahead of the point": f"{shape.ahead_m:g} m",
        "behind it": f"{shape.behind_m:g} m",
        "rate of change at most": "not limited" if jerk_mps3 is None else f"{jerk_mps3:g} m/s³",
        "grid": f"{span / intervals:.3g} m",
    }

    def at(speed_kmh: int) -> Demand:
        speed_mps = speed_kmh / 3.6
        found = least_peak(
            intervals=intervals,
            step_m=span / intervals,
            windows=windows,
            ramp_pm2=None if jerk_mps3 is None else jerk_mps3 / speed_mps**3,
        )
        return _demand(speed_kmh=speed_kmh, found=found, nodes=nodes, asked=asked)

    return tuple(map(at, speeds_kmh))


def _windows(*, course: Course, shape: Body, nodes: Sequence[float]) -> Iterator[Window]:
    """Wherever part of the body is in a lane, both ends of that part keep off its boundaries.

    The side of the body is straight, so the two ends stand for all of it.
    """
    for lane in course.lanes:
        low, high = lane.right_y_m + shape.width_m / 2, lane.left_y_m - shape.width_m / 2
        if low > high:
            raise CalculationError(
                quantity="width_m",
                value=f"{shape.width_m:g}",
                allowed=f"the lane of section {lane.sections[0]}, {lane.width_m:g} m wide",
            )
        for node, x in enumerate(nodes):
            rear = max(-shape.behind_m, lane.start_m - x)
            front = min(shape.ahead_m, lane.end_m - x)
            if rear <= front:
                yield Window(node=node, arm_m=rear, low_m=low, high_m=high)
                yield Window(node=node, arm_m=front, low_m=low, high_m=high)


def _demand(*, speed_kmh: int, found: GatePath, nodes: Sequence[float], asked: Mapping[str, str]) -> Demand:
    peak = found.peak_curvature_pm * (speed_kmh / 3.6) ** 2 / GRAVITY_MPS2
    path = tuple(zip(nodes, found.y_m, strict=True))
    return Demand(speed_kmh=speed_kmh, peak_lateral_g=peak, path=path, asked=asked)
