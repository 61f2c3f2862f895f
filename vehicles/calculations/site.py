"""Whether a site takes the course, the run-up to the speed and the run-off to stop."""

from dataclasses import dataclass

from .course import Course
from .explain import Working
from .ranges import Range
from .stopping import MARGIN, run_off, run_up, workings
from .verdict import MET, NOT_MET, UNKNOWN

__all__ = ["MET", "NOT_MET", "UNKNOWN", "Direction", "Fit", "Site", "fits", "run_off", "run_up"]

SPACE = Range(name="space_m", label="Space on the site", low=0, high=20_000, unit="m")


@dataclass(frozen=True, kw_only=True)
class Site:
    """A strip: where the course may stand, the space before and after it, None if not known.

    ``level`` is whether it was found level in both directions.
    """

    before_m: float | None
    course_length_m: float | None
    after_m: float | None
    width_m: float | None
    level: bool | None

    def __post_init__(self) -> None:
        for value in (self.before_m, self.course_length_m, self.after_m, self.width_m):
            if value is not None:
                SPACE.check(value)


@dataclass(frozen=True, kw_only=True)
class Direction:
    """One way of driving: whether it fits and where section 1 may begin, from the strip's end.

    ``short_m`` is how much length is missing, 0 when it fits, None when that is not known.
    """

    direction: str
    need: str
    start_from_m: float | None
    start_to_m: float | None
    short_m: float | None
    reason: str


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Whether the site takes the course at this speed: met when at least one direction does."""

    need: str
    run_up_m: float
    run_off_m: float
    width_m: float
    directions: tuple[Direction, Direction]
    reasons: tuple[str, ...]
    undecided: tuple[str, ...]
    workings: tuple[Working, ...]


def fits(
    *,
    site: Site,
    course: Course,
    speed_kmh: float,
    acceleration_mps2: float = 1.5,
    deceleration_mps2: float = 3.4,
    reaction_s: float = 2.5,
    margin_m: float = 20.0,
    side_margin_m: float = 3.0,
) -> Fit:
    """Whether course, run-up and run-off find room, in either direction, and where.

    Parameters
    ----------
    site : the strip as measured, its spaces [m]
    course : the course as laid out [m]
    speed_kmh : the highest speed of the ladder [km/h]
    acceleration_mps2, deceleration_mps2, reaction_s : as ``run_up`` and ``run_off`` [m/s², s]
    margin_m, side_margin_m : what is kept free beyond stopping, and on each side [m]

    Returns
    -------
    Fit: ``need`` is met, not_met or unknown, with reasons that carry the numbers [m].

    Raises
    ------
    CalculationError : a value out of range.

    Notes
    -----
    The course may stand anywhere on its strip, so spare length there serves run-up and run-off.
    Forward is driven from the space before towards the space after, back the other way. Margins:
    common practice. A planning aid: walk the site before anyone drives.

    Example
    -------
    >>> from vehicles.calculations.course import lay_out
    >>> strip = Site(before_m=350, course_length_m=130, after_m=200, width_m=15, level=True)
    >>> [d.need for d in fits(site=strip, course=lay_out(width_mm=1885), speed_kmh=100).directions]
    ['met', 'not_met']

    Source: see ``run_up`` and ``run_off``; level both ways: common practice.
    """
    up = run_up(speed_kmh=speed_kmh, acceleration_mps2=acceleration_mps2)
    off = run_off(
        speed_kmh=speed_kmh,
        deceleration_mps2=deceleration_mps2,
        reaction_s=reaction_s,
        margin_m=margin_m,
    )
    edges = [edge for lane in course.lanes for edge in (lane.right_y_m, lane.left_y_m)]
    width = max(edges) - min(edges) + 2 * MARGIN.check(side_margin_m)
    directions = (
        _direction("forward", course, site.course_length_m, (site.before_m, site.after_m), (up, off)),
        _direction("back", course, site.course_length_m, (site.after_m, site.before_m), (up, off)),
    )
    width_need, width_reason = _width(site.width_m, width)
    level_need, level_reason = _level(site.level)
    ways = {direction.need for direction in directions}
    length_need = next(need for need in (MET, UNKNOWN, NOT_MET) if need in ways)
    needs = {width_need, level_need, length_need}
    return Fit(
        need=next(need for need in (NOT_MET, UNKNOWN, MET) if need in needs),
        run_up_m=up,
        run_off_m=off,
        width_m=width,
        directions=directions,
        reasons=(*(d.reason for d in directions), width_reason, level_reason),
        undecided=_unknown(site),
        workings=workings(
            speed_kmh=speed_kmh,
            acceleration_mps2=acceleration_mps2,
            deceleration_mps2=deceleration_mps2,
            reaction_s=reaction_s,
            margin_m=margin_m,
        ),
    )


def _direction(
    direction: str,
    course: Course,
    strip: float | None,
    spaces: tuple[float | None, float | None],
    lengths: tuple[float, float],
) -> Direction:
    before, after = spaces
    up, off = lengths
    if strip is None or before is None or after is None:
        return Direction(
            direction=direction,
            need=UNKNOWN,
            start_from_m=None,
            start_to_m=None,
            short_m=None,
            reason=f"{direction}: the lengths of the site are not all known",
        )
    first = max(0.0, up - before)
    last = strip - course.length_m - max(0.0, off - after)
    short = max(0.0, first - last)
    asked = f"run-up {up:.1f} m, course {course.length_m:.1f} m, run-off {off:.1f} m"
    has = f"{before:.1f} m before, strip {strip:.1f} m, {after:.1f} m after"
    verdict = f"short by {short:.1f} m" if short else f"section 1 begins {first:.1f} to {last:.1f} m along it"
    return Direction(
        direction=direction,
        need=NOT_MET if short else MET,
        start_from_m=None if short else first,
        start_to_m=None if short else last,
        short_m=short,
        reason=f"{direction}: needs {asked}; has {has}: {verdict}",
    )


def _width(has_m: float | None, needed_m: float) -> tuple[str, str]:
    if has_m is None:
        return UNKNOWN, f"width: needs {needed_m:.1f} m, the site's width is not known"
    return MET if has_m >= needed_m else NOT_MET, f"width: needs {needed_m:.1f} m, has {has_m:.1f} m"


def _level(level: bool | None) -> tuple[str, str]:
    if level is None:
        return UNKNOWN, "level: not known whether the site is level in both directions"
    return (MET, "level: level in both directions") if level else (NOT_MET, "level: the site is not level")


def _unknown(site: Site) -> tuple[str, ...]:
    needs = {
        "before_m: measure the space before the strip": site.before_m,
        "course_length_m: measure the strip the course may stand on": site.course_length_m,
        "after_m: measure the space after the strip": site.after_m,
        "width_m: measure the usable width": site.width_m,
        "level: check the level in both directions": site.level,
    }
    return tuple(text for text, value in needs.items() if value is None)
