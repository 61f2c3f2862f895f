"""What each pass through the course in a log came to, as plain data that can be kept and drawn."""

from jobs.refused import Refused
from testing.testday import pass_doubts as doubts
from vehicles.calculations import runlog
from vehicles.calculations.course import lay_out
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.log_samples import LEAST_SAMPLES
from vehicles.calculations.manoeuvre import body
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
    for channels, caution in doubts.beyond(log, track, found):
        found = found | {"cautions": [*found["cautions"], caution]}
        for channel in channels:
            found = doubts.without(found, channel)
    return found


def _told(log, course, shape, track):
    start = float(log.time_s[0])
    cautions = [*track.cautions, *(words for channel, words in WORKED_OUT.items() if channel not in track.channels)]
    found = {"start_s": start, **doubts.tilt_of(log, course, track)}
    try:
        if len(log.time_s) < LEAST_SAMPLES:
            raise CalculationError(quantity="samples", value=len(log.time_s), allowed=f"at least {LEAST_SAMPLES}")
        by_sensor = "lateral" in track.channels
        analysis = runlog.analyse(log=log, course=course, body=shape, lateral_by_sensor=by_sensor)
    except CalculationError as error:
        return found | _coarse(log, course) | {"cautions": [*cautions, f"No more can be said: {error}."]}
    if "speed" in track.channels and (words := doubts.speed_against_place(analysis)):
        found["speed_disputed"] = True
        cautions.append(words)
    return found | _fine(analysis, course) | {"cautions": [*cautions, *analysis.cautions]}


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
