"""What a logger's samples say about a run: speeds, times, acceleration, margins to the cones."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .cone_margins import Margin, margins
from .course import Course
from .errors import CalculationError
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

__all__ = ["Analysis", "Comparison", "Log", "Trace", "analyse", "compare", "from_samples", "passes"]


@dataclass(frozen=True, kw_only=True)
class SectionTime:
    """Time that the reference point took through one section, and its mean speed there."""

    number: int
    time_s: float
    mean_kmh: float


@dataclass(frozen=True, kw_only=True)
class Trace:
    """The run along the course, every quarter of a metre: for drawing and comparing."""

    x_m: "Samples"
    y_m: "Samples"
    speed_kmh: "Samples"
    lateral_g: "Samples"


@dataclass(frozen=True, kw_only=True)
class Analysis:
    """What one pass through the course came to."""

    entry_kmh: float
    exit_kmh: float
    lowest_kmh: float
    kept: float
    peak_lateral_g: float
    peak_at_m: float
    sections: tuple[SectionTime, ...]
    margins: tuple[Margin, ...]
    nearest: Margin
    trace: Trace
    rate_hz: float
    filter: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Second run less first: speeds, peak, time by section; and how far the paths lay apart."""

    entry_kmh: float
    kept: float
    peak_lateral_g: float
    nearest_m: float
    sections_s: tuple[float, ...]
    path_apart_m: float


def passes(*, log: Log, course: Course) -> tuple[Log, ...]:
    """The passes through the course in one log, each with two seconds before and after it.

    A pass leads from before the start of section 1 to past the end of section 6 without turning
    back over the start. Parameters: log, course. Returns: one Log for each pass, in order of time.
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


def analyse(*, log: Log, course: Course, body: Body, cutoff_hz: float = CUTOFF_HZ) -> Analysis:
    """Analyse one pass: entry speed, speed kept, peak lateral acceleration, times and margins.

    Parameters
    ----------
    log : samples of one pass, 10 to 200 Hz [s, m, m/s, m/s²]
    course : the course that was set out [m]
    body : the body about the point that the log's place belongs to [m]
    cutoff_hz : cut-off of the low-pass filter for place and lateral acceleration [Hz]

    Returns
    -------
    Analysis. Entry and exit speed are those of the reference point at the first and last cones,
    ``kept`` is their ratio; the peak is of the filtered lateral acceleration between them [g].

    Raises
    ------
    CalculationError : no pass or several in the log, a rate or cut-off out of range.

    Notes
    -----
    A drop-out longer than 0.35 s is bridged in a straight line and named in ``cautions``. The
    body heads along its path: the margins leave sideslip out.

    Source: kinematics; filter as in ``filter``; checked on synthetic runs with known answers.
    """
    found = passes(log=log, course=course)
    if len(found) != 1:
        allowed = "exactly one pass from before section 1 to past section 6"
        raise CalculationError(quantity="log", value=f"{len(found)} passes", allowed=allowed)
    even = evened(found[0], cutoff_hz=cutoff_hz)
    clock, trace = _trace(even.log, course)
    near = margins(course=course, body=body, **_path(even.log))
    peak = int(abs(trace.lateral_g).argmax())
    entry, exit_ = float(trace.speed_kmh[0]), float(trace.speed_kmh[-1])
    if entry == 0:
        raise CalculationError(quantity="speed_mps", value=0, allowed="above 0 at the first cones")
    return Analysis(
        entry_kmh=entry,
        exit_kmh=exit_,
        lowest_kmh=float(trace.speed_kmh.min()),
        kept=exit_ / entry,
        peak_lateral_g=float(abs(trace.lateral_g[peak])),
        peak_at_m=float(trace.x_m[peak]),
        sections=_sections(clock, trace, course),
        margins=near,
        nearest=min(near, key=lambda margin: margin.margin_m),
        trace=trace,
        rate_hz=even.rate_hz,
        filter=even.filter,
        cautions=_cautions(even),
    )


def compare(first: Analysis, second: Analysis) -> Comparison:
    """The differences between two runs on the same course: second less first.

    Parameters: two analyses. Returns: Comparison [km/h, g, m, s]; ``path_apart_m`` is the
    greatest distance between the two paths, measured across. Raises CalculationError when the
    courses differ in length.
    """
    if len(first.trace.x_m) != len(second.trace.x_m):
        raise CalculationError(quantity="course", value="two lengths", allowed="runs on one course")
    return Comparison(
        entry_kmh=second.entry_kmh - first.entry_kmh,
        kept=second.kept - first.kept,
        peak_lateral_g=second.peak_lateral_g - first.peak_lateral_g,
        nearest_m=second.nearest.margin_m - first.nearest.margin_m,
        sections_s=tuple(b.time_s - a.time_s for a, b in zip(first.sections, second.sections, strict=True)),
        path_apart_m=float(abs(second.trace.y_m - first.trace.y_m).max()),
    )


def _path(log: Log) -> "dict[str, Samples]":
    """The path in steps close enough for a corner not to pass a cone unseen between samples."""
    import numpy as np
    from scipy.interpolate import CubicSpline  # type: ignore[import-untyped]

    clock = np.arange(log.time_s[0], log.time_s[-1], PATH_STEP_S)
    x, y = CubicSpline(log.time_s, np.array([log.x_m, log.y_m]), axis=1)(clock)
    return {"x_m": x, "y_m": y}


def _trace(log: Log, course: Course) -> "tuple[Samples, Trace]":
    """Time and the run at even places; the place is taken as never going back."""
    import numpy as np

    x = np.maximum.accumulate(log.x_m)
    places = np.linspace(0.0, course.length_m, round(course.length_m / TRACE_STEP_M) + 1)
    clock = np.interp(places, x, log.time_s)
    return clock, Trace(
        x_m=places,
        y_m=np.interp(places, x, log.y_m),
        speed_kmh=3.6 * np.interp(places, x, log.speed_mps),
        lateral_g=np.interp(places, x, log.lateral_mps2) / GRAVITY_MPS2,
    )


def _sections(clock: "Samples", trace: Trace, course: Course) -> tuple[SectionTime, ...]:
    import numpy as np

    found = []
    for section in course.sections:
        start, end = np.interp([section.start_m, section.end_m], trace.x_m, clock)
        time = float(end - start)
        found.append(SectionTime(number=section.number, time_s=time, mean_kmh=3.6 * section.length_m / time))
    return tuple(found)


def _cautions(even: Even) -> tuple[str, ...]:
    return tuple(f"no samples from {start:.2f} to {end:.2f} s: bridged in a straight line" for start, end in even.gaps)
