"""What a logged pass does not tell, though it has numbers: a place that jumps, speeds that do not fit it, gaps."""

from vehicles.calculations.log_samples import CHANNELS, LONGEST_GAP_S
from vehicles.calculations.manoeuvre import GRAVITY_MPS2

# What is told from a channel, and what is drawn of it.
TOLD_FROM = {
    "speed": (("entry_kmh", "entry_error_kmh", "exit_kmh", "lowest_kmh", "kept"), "speed_kmh"),
    "lateral": (("peak_lateral_g", "peak_at_m"), "lateral_g"),
}
# The path is longer than the course by less than 1 %; the rest is for the noise of a receiver. Our own assumption.
SPEED_FITS_PLACE = 0.05


def beyond(log, track, found):
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


def without(found, channel):
    """A pass without what would have been told from one channel."""
    names, drawn = TOLD_FROM[channel]
    blank = {name: None for name in names if name in found}
    if trace := found.get("trace"):
        blank["trace"] = trace | {drawn: [None] * len(trace[drawn])}
    return found | blank


def speed_against_place(analysis):
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


def tilt_of(log, course, track):
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
