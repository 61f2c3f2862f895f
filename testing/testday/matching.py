"""Each pass in a log and the run that it belongs to: by the clock, in order, or by the engineer's word."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from testing.testday.models import LoggedPass

# A run is written down within this time of being driven.
WRITTEN_WITHIN = timedelta(minutes=4)
# A pass so near the speed of a run may well be that run; the engineer says so.
LIKELY_KMH = 3


@dataclass(frozen=True, kw_only=True)
class Pair:
    """A pass as it was found, and its run or None."""

    number: int
    found: dict
    run: object
    starts_at: datetime | None

    @property
    def name(self):
        speed = self.found.get("entry_kmh")
        return f"Pass {self.number}, {speed:.1f} km/h" if speed is not None else f"Pass {self.number}"


def free_runs(day):
    """Runs that stand on the sheet and that no log speaks of yet, in the order driven."""
    taken = set(LoggedPass.objects.standing().filter(log__day=day).exclude(run=None).values_list("run_id", flat=True))
    return [run for run in day.runs.filter(struck=None).order_by("number") if run.pk not in taken]


def matched(day, track, found):
    """Each pass with its run: by the clock where the log has one, else in order.

    In order only when there are as many passes as runs that no log speaks of yet: a guess is worse than none.
    """
    runs = free_runs(day)
    if track.epoch_s is None:
        in_order = runs if len(runs) == len(found) else [None] * len(found)
        return _pairs(track, zip(found, in_order, strict=True))
    given = _by_clock(runs, [_when(track, one) for one in found])
    return _pairs(track, zip(found, given, strict=True))


def _by_clock(runs, moments):
    """For each moment of a pass its run or None: a run is of the last pass before it was written down."""
    given = [None] * len(moments)
    for run in sorted(runs, key=lambda run: run.when, reverse=True):
        free = [n for n, moment in enumerate(moments) if given[n] is None and _soon(run, moment)]
        if free:
            given[max(free, key=lambda n: moments[n])] = run
    return given


def _soon(run, moment):
    return timedelta(0) <= run.when - moment <= WRITTEN_WITHIN


def _pairs(track, rows):
    return [
        Pair(number=number, found=one, run=run, starts_at=_when(track, one))
        for number, (one, run) in enumerate(rows, start=1)
    ]


def _when(track, one):
    if track.epoch_s is None:
        return None
    return datetime.fromtimestamp(track.epoch_s + one["start_s"], tz=UTC)


def open_question(day, pairs):
    """Whether a pass is left without a run while a run is left without a pass, or while one stands so near
    that it may be of either: a pass that nobody wrote down must not take the evidence of the next.
    """
    given = {pair.run.pk for pair in pairs if pair.run}
    left = [pair for pair in pairs if pair.run is None]
    near = any(pair.starts_at and _soon(run, pair.starts_at) for pair in left for run in free_runs(day))
    return near or (bool(left) and any(run.pk not in given for run in free_runs(day)))


def likely(day, pairs):
    """For each pass the run to suggest: its own, else the next in order that was driven about as fast."""
    given = {pair.run.pk for pair in pairs if pair.run}
    left = [run for run in free_runs(day) if run.pk not in given]
    suggested = {}
    for pair in pairs:
        run = pair.run
        if run is None:
            place = next((place for place, one in enumerate(left) if _near(pair, one)), None)
            if place is not None:
                run, left = left[place], left[place + 1 :]
        suggested[pair.number] = run
    return suggested


def _near(pair, run):
    speed = pair.found.get("entry_kmh")
    driven = run.aimed_kmh if run.measured_kmh is None else run.measured_kmh
    return speed is not None and abs(speed - driven) <= LIKELY_KMH
