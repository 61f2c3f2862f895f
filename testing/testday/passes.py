"""What each pass through the course in a log came to, as plain data that can be kept and drawn."""

from testing.testday.refused import Refused
from vehicles.calculations import runlog
from vehicles.calculations.course import lay_out
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.log_samples import CHANNELS, LEAST_SAMPLES, LONGEST_GAP_S
from vehicles.calculations.manoeuvre import GRAVITY_MPS2, body
from vehicles.calculations.run_working import pass_workings

# Enough for a drawing 1,000 units wide.
DRAWN_EVERY_M = 1
WORKED_OUT = {
    "speed": "The log has no speed: it is worked out from place and time.",
    "lateral": (
        "The log has no lateral acceleration: it is worked out from speed and path, "
        "and every centimetre of noise in the receiver's place is felt in it."
    ),
}
# The path is longer than the course by less than 1 %; the rest is for the noise of a receiver. Our own assumption.
SPEED_FITS_PLACE = 0.05
# What is told from a channel, and what is drawn of it.
TOLD_FROM = {
    "speed": (("entry_kmh", "entry_error_kmh", "exit_kmh", "lowest_kmh", "kept"), "speed_kmh"),
    "lateral": (("peak_lateral_g", "peak_at_m"), "lateral_g"),
}
# A straight line between two samples further apart than this is a guess.
COARSEST_S = 2


def course_of(day):
    """The course that was set out, from what the day keeps."""
    course = day.work_up["course"]
    width_mm = course["overall_width_m"] * 1000
    return lay_out(width_mm=width_mm, offset_m=course["offset_m"], datum=course["datum"])


def body_of(day):
    """The body about the place between its axles where the antenna is taken to be."""
    vehicle = day.inputs["vehicle"]

    def metres(name):
        return vehicle[name] / 1000 if vehicle.get(name) else None

    width_m, length_m = day.work_up["course"]["overall_width_m"], metres("overall_length_mm")
    if length_m is None:
        raise Refused("The overall length of the vehicle is not known: margins to the cones need it.")
    return body(
        width_m=width_m,
        length_m=length_m,
        front_overhang_m=metres("front_overhang_mm"),
        wheelbase_m=metres("wheelbase_mm"),
    )


def passes_of(track, places, day):
    """Every pass in a track, in order of time."""
    log = _log(track, places)
    course, shape = course_of(day), body_of(day)
    return [_pass(one, course, shape, track) for one in runlog.passes(log=log, course=course)]


def _log(track, places):
    import numpy as np

    x, y = places
    time = track.time_s
    speed = track.channels.get("speed")
    if speed is None:
        speed = np.hypot(np.gradient(x, time), np.gradient(y, time))
    lateral = track.channels.get("lateral")
    if lateral is None:
        lateral = _turning(time, x, y, speed)
    return runlog.Log(time_s=time, x_m=x, y_m=y, speed_mps=speed, lateral_mps2=lateral)


def _turning(time, x, y, speed):
    """Lateral acceleration of the path: speed times the rate at which its direction turns."""
    import numpy as np

    heading = np.unwrap(np.arctan2(np.gradient(y, time), np.gradient(x, time)))
    return speed * np.gradient(heading, time)


def _pass(log, course, shape, track):
    found = _told(log, course, shape, track)
    for channels, caution in _beyond(log, track, found):
        found = found | {"cautions": [*found["cautions"], caution]}
        for channel in channels:
            found = _without(found, channel)
    return found


def _told(log, course, shape, track):
    start = float(log.time_s[0])
    cautions = [*track.cautions, *(words for channel, words in WORKED_OUT.items() if channel not in track.channels)]
    found = {"start_s": start, **_tilt(log, course, track)}
    try:
        if len(log.time_s) < LEAST_SAMPLES:
            raise CalculationError(quantity="samples", value=len(log.time_s), allowed=f"at least {LEAST_SAMPLES}")
        by_sensor = "lateral" in track.channels
        analysis = runlog.analyse(log=log, course=course, body=shape, lateral_by_sensor=by_sensor)
    except CalculationError as error:
        return found | _coarse(log, course) | {"cautions": [*cautions, f"No more can be said: {error}."]}
    if "speed" in track.channels and (words := _speed_against_place(analysis)):
        found["speed_disputed"] = True
        cautions.append(words)
    return found | _fine(analysis, course) | {"cautions": [*cautions, *analysis.cautions]}


def _beyond(log, track, found):
    """Channels that were worked out and came to what no vehicle does: the place jumps, and they tell nothing.

    Speed is looked at sample by sample. Lateral acceleration is looked at once it is filtered: the noise of a good
    receiver takes single samples of it far out and the filter takes them back.
    """
    speed, lateral = CHANNELS["speed_mps"], CHANNELS["lateral_mps2"]
    worked_out = [channel for channel in TOLD_FROM if channel not in track.channels]
    if "speed" in worked_out and (log.speed_mps > speed.high).any():
        first = int((log.speed_mps > speed.high).argmax())
        yield (
            worked_out,
            f"The speed worked out from the place is {log.speed_mps[first]:,.0f} m/s at {log.time_s[first]:.2f} s, "
            f"outside {speed}: the place jumps there. Nothing is told from it.",
        )
    elif "lateral" in worked_out and (found.get("peak_lateral_g") or 0) * GRAVITY_MPS2 > lateral.high:
        yield (
            ["lateral"],
            f"The lateral acceleration worked out from the path peaks at {found['peak_lateral_g']:.1f} g, outside "
            f"{lateral}: the place jumps there. Nothing is told from it.",
        )


def _without(found, channel):
    """A pass without what would have been told from one channel."""
    names, drawn = TOLD_FROM[channel]
    blank = {name: None for name in names if name in found}
    if trace := found.get("trace"):
        blank["trace"] = trace | {drawn: [None] * len(trace[drawn])}
    return found | blank


def _coarse(log, course):
    """Entry and exit speed alone, in a straight line between samples that lie close enough for one."""
    import numpy as np

    x = np.maximum.accumulate(log.x_m)
    entry, leaving = (_speed_at(place, x, log) for place in (0.0, course.length_m))
    return {"entry_kmh": entry, "exit_kmh": leaving, "kept": leaving / entry if entry and leaving is not None else None}


def _speed_at(place, x, log):
    import numpy as np

    after = int(np.searchsorted(x, place))
    if log.time_s[after] - log.time_s[after - 1] > COARSEST_S:
        return None
    return float(3.6 * np.interp(place, x, log.speed_mps))


def _fine(analysis, course):
    numbers = {cone: number for number, cone in enumerate(course.cones, start=1)}
    step = max(1, round(DRAWN_EVERY_M / (analysis.trace.x_m[1] - analysis.trace.x_m[0])))
    trace = {
        name: [_rounded(runlog.known(value)) for value in getattr(analysis.trace, name)[::step]]
        for name in ("x_m", "y_m", "speed_kmh", "lateral_g")
    }
    margins = [{"cone": numbers[one.cone], "margin_m": _rounded(one.margin_m)} for one in analysis.margins]
    nearest = analysis.nearest
    return {
        "entry_kmh": analysis.entry_kmh,
        "entry_error_kmh": analysis.entry_error_kmh,
        "exit_kmh": analysis.exit_kmh,
        "lowest_kmh": analysis.lowest_kmh,
        "kept": analysis.kept,
        "peak_lateral_g": analysis.peak_lateral_g,
        "peak_at_m": analysis.peak_at_m,
        "sections": [
            {"number": one.number, "time_s": one.time_s, "mean_kmh": one.mean_kmh} for one in analysis.sections
        ],
        "margins": margins,
        "nearest": nearest and {"cone": numbers[nearest.cone], "margin_m": nearest.margin_m},
        "touched": [one["cone"] for one in margins if one["margin_m"] is not None and one["margin_m"] < 0],
        "unseen": [one["cone"] for one in margins if one["margin_m"] is None],
        "rate_hz": analysis.rate_hz,
        "filter": analysis.filter,
        "trace": trace,
    }


def workings_of(found):
    """How the numbers of a pass as it is kept came about, for the screen."""
    nearest = found["nearest"] or {}
    names = ("entry_kmh", "entry_error_kmh", "exit_kmh", "peak_lateral_g", "peak_at_m", "rate_hz")
    return pass_workings(
        **{name: found[name] for name in names},
        nearest_cone=nearest.get("cone"),
        nearest_m=nearest.get("margin_m"),
        filtered=found["filter"],
    )


def _rounded(value):
    return None if value is None else round(value, 3)


def _speed_against_place(analysis):
    """In words, where the speeds that were logged do not fit the places and times: then a unit may be wrong."""
    import numpy as np

    timed = [one for one in analysis.sections if one.mean_kmh is not None]
    speeds = analysis.trace.speed_kmh[~np.isnan(analysis.trace.speed_kmh)]
    if not timed or not len(speeds) or speeds.min() <= 0:
        return ""
    by_place = sum(one.mean_kmh * one.time_s for one in timed) / sum(one.time_s for one in timed)
    # Places are evenly spaced: the mean over time is the harmonic one.
    by_speed = len(speeds) / float((1 / speeds).sum())
    if abs(by_speed / by_place - 1) <= SPEED_FITS_PLACE:
        return ""
    return (
        f"The speeds of the log come to {by_speed:.1f} km/h over the course, its places and times to {by_place:.1f} "
        "km/h: the unit of a column or the baseline may be wrong. Bring the log in again before anything rests on it."
    )


def _tilt(log, course, track):
    """The largest tilt; where samples are missing or far apart only the largest that was seen."""
    import numpy as np

    tilt = track.channels.get("tilt")
    if tilt is None:
        return {"peak_tilt_deg": None}
    within = (track.time_s >= log.time_s[0]) & (track.time_s <= log.time_s[-1])
    seen = float(np.abs(tilt[within]).max())
    return {"peak_tilt_deg": None if _has_gap(log, course) else seen, "tilt_seen_deg": seen}


def _has_gap(log, course):
    """Whether samples are missing somewhere on the course: the largest tilt may lie there."""
    import numpy as np

    on_course = np.flatnonzero((log.x_m >= 0) & (log.x_m <= course.length_m))
    if not len(on_course):
        return True
    first, last = max(int(on_course[0]) - 1, 0), int(on_course[-1]) + 2
    return bool(np.diff(log.time_s[first:last]).max() > LONGEST_GAP_S)
