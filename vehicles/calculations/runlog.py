"""What a logger's samples say about a run: speeds, times, acceleration, margins to the cones."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isnan
from typing import TYPE_CHECKING, Any

from .cone_margins import Margin, margins
from .course import Course
from .errors import CalculationError
from .lateral_check import lateral_cautions
from .log_samples import Even, Log, evened, from_samples
from .manoeuvre import GRAVITY_MPS2, Body

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float64]

CUTOFF_HZ = 4.0
TRACE_STEP_M = 0.25
PATH_STEP_S = 0.01
LEAD_S = 2.0

__all__ = ["Analysis", "Log", "Trace", "analyse", "from_samples", "known", "passes"]


@dataclass(frozen=True, kw_only=True)
class SectionTime:
    """Time that the reference point took through one section, and its mean speed there.

    None when one of its ends was passed in a drop-out.
    """

    number: int
    time_s: float | None
    mean_kmh: float | None


@dataclass(frozen=True, kw_only=True)
class Trace:
    """The run along the course, every quarter of a metre, NaN in a drop-out: for drawing and comparing."""

    x_m: "Samples"
    y_m: "Samples"
    speed_kmh: "Samples"
    lateral_g: "Samples"


@dataclass(frozen=True, kw_only=True)
class Analysis:
    """What one pass through the course came to; None is not known, because of a drop-out.

    ``nearest`` is the least of the margins that are known.
    """

    course: Course
    entry_kmh: float | None
    entry_error_kmh: float
    exit_kmh: float | None
    lowest_kmh: float | None
    kept: float | None
    peak_lateral_g: float | None
    peak_at_m: float | None
    sections: tuple[SectionTime, ...]
    margins: tuple[Margin, ...]
    nearest: Margin | None
    trace: Trace
    rate_hz: float
    filter: str
    cautions: tuple[str, ...]


def passes(*, log: Log, course: Course) -> tuple[Log, ...]:
    """The passes through the course in one log, each with two seconds before and after it.

    A pass leads from before the start of section 1 to past the end of section 6 without turning
    back over the start.

    Parameters: log [s, m, m/s, m/s²], course [m]. Returns: one Log for each pass, in order of
    time.

    >>> from vehicles.calculations.example_drive import driven
    >>> [round(float(one.time_s[0])) for one in passes(log=driven(80).log, course=driven(80).course)]
    [0]

    Source: our own rule.
    """
    import numpy as np

    before, past = log.x_m < 0, log.x_m >= course.length_m
    starts = np.flatnonzero(before[:-1] & ~before[1:])
    ends = np.flatnonzero(~past[:-1] & past[1:]) + 1
    found = []
    for start, following in zip(starts, [*starts[1:], len(log.x_m)], strict=True):
        end = next((int(n) for n in ends if start < n <= following), None)
        if end is not None:
            window = np.searchsorted(log.time_s, (log.time_s[start] - LEAD_S, log.time_s[end] + LEAD_S))
            found.append(log.part(int(window[0]), int(window[1])))
    return tuple(found)


def analyse(
    *, log: Log, course: Course, body: Body, cutoff_hz: float = CUTOFF_HZ, lateral_by_sensor: bool = True
) -> Analysis:
    """Analyse one pass: entry speed, speed kept, peak lateral acceleration, times and margins.

    Parameters
    ----------
    log : samples of one pass, 10 to 200 Hz [s, m, m/s, m/s²]
    course : the course that was set out [m]
    body : the body about the point that the log's place belongs to [m]
    cutoff_hz : cut-off of the low-pass filter for place, speed and lateral acceleration [Hz]
    lateral_by_sensor : False when lateral acceleration was worked out from speed and path [-]

    Returns
    -------
    Analysis. Entry and exit speed are those of the reference point at the first and last cones,
    ``kept`` is their ratio, the error of the entry speed two standard deviations of its noise; the
    peak is of the filtered lateral acceleration between them [g].

    Raises
    ------
    CalculationError : no pass or several in the log, a rate or cut-off out of range.

    Notes
    -----
    What lies in a drop-out longer than 0.35 s is not known and is None, and the drop-out is named
    in ``cautions``; a peak or a lowest speed is not known when any of the course lies in one. The
    body heads along its path: the margins leave sideslip out. A sensor's lateral acceleration is
    taken as read, with roll and bias in it: ``cautions`` says so, and whether it fits the path.

    Example
    -------
    >>> from vehicles.calculations.example_drive import driven
    >>> found = analyse(**vars(driven(80)))
    >>> round(found.entry_kmh, 1), round(found.kept, 3), round(found.peak_lateral_g, 3)
    (80.0, 1.0, 0.102)
    >>> round(found.nearest.margin_m, 2)
    -0.77

    Source: kinematics; filter as in ``filter``; checked on synthetic runs with known answers.
    """
    found = passes(log=log, course=course)
    if len(found) != 1:
        allowed = "exactly one pass from before section 1 to past section 6"
        raise CalculationError(quantity="log", value=f"{len(found)} passes", allowed=allowed)
    even = evened(found[0], cutoff_hz=cutoff_hz)
    clock, trace = _trace(even, course)
    near = margins(course=course, body=body, **_path(even))
    entry, exit_ = known(trace.speed_kmh[0]), known(trace.speed_kmh[-1])
    if entry is not None and entry <= 0:
        raise CalculationError(quantity="speed_mps", value=0, allowed="above 0 at the first cones")
    # The greatest of numbers that are not all known is not known: min and max hand NaN on.
    peak = known(abs(trace.lateral_g).max())
    return Analysis(
        course=course,
        entry_kmh=entry,
        entry_error_kmh=2 * 3.6 * even.speed_error_mps,
        exit_kmh=exit_,
        lowest_kmh=known(trace.speed_kmh.min()),
        kept=None if entry is None or exit_ is None else exit_ / entry,
        peak_lateral_g=peak,
        peak_at_m=None if peak is None else float(trace.x_m[abs(trace.lateral_g).argmax()]),
        sections=_sections(even, clock, trace, course),
        margins=near,
        nearest=min((one for one in near if one.margin_m is not None), key=_margin_m, default=None),
        trace=trace,
        rate_hz=even.rate_hz,
        filter=even.filter,
        cautions=(*_gaps(even), *(lateral_cautions(even) if lateral_by_sensor else ())),
    )


def known(value: float) -> float | None:
    """A number, or None for NaN.

    Parameters: a number in any unit [-]. Returns: the same, or None.

    >>> known(1.5), known(float("nan"))
    (1.5, None)

    Source: our own rule.
    """
    return None if isnan(value) else float(value)


def _margin_m(one: Margin) -> float:
    return one.margin_m or 0.0


def _path(even: Even) -> "dict[str, Any]":
    """The path in steps close enough for a corner not to pass a cone unseen between samples."""
    import numpy as np
    from scipy.interpolate import CubicSpline  # type: ignore[import-untyped]

    log = even.log
    clock = np.arange(log.time_s[0], log.time_s[-1], PATH_STEP_S)
    x, y = CubicSpline(log.time_s, np.array([log.x_m, log.y_m]), axis=1)(clock)
    return {"x_m": x, "y_m": y, "hidden": even.hidden(clock)}


def _trace(even: Even, course: Course) -> "tuple[Samples, Trace]":
    """Time and the run at even places; the place is taken as never going back."""
    import numpy as np

    log = even.log
    x = np.maximum.accumulate(log.x_m)
    places = np.linspace(0.0, course.length_m, round(course.length_m / TRACE_STEP_M) + 1)
    clock = np.interp(places, x, log.time_s)
    y, speed, lateral = (np.interp(places, x, values) for values in (log.y_m, log.speed_mps, log.lateral_mps2))
    for values in (y, speed, lateral):
        values[even.hidden(clock)] = np.nan
    return clock, Trace(x_m=places, y_m=y, speed_kmh=3.6 * speed, lateral_g=lateral / GRAVITY_MPS2)


def _sections(even: Even, clock: "Samples", trace: Trace, course: Course) -> tuple[SectionTime, ...]:
    import numpy as np

    found = []
    for section in course.sections:
        ends = np.interp([section.start_m, section.end_m], trace.x_m, clock)
        time = None if even.hidden(ends).any() else float(ends[1] - ends[0])
        mean = time and 3.6 * section.length_m / time
        found.append(SectionTime(number=section.number, time_s=time, mean_kmh=mean))
    return tuple(found)


def _gaps(even: Even) -> Iterator[str]:
    for start, end in even.gaps:
        yield f"No samples from {start:.2f} to {end:.2f} s: what was driven there is not known."
