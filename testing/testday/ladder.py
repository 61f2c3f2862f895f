"""What the runs of a day have opened so far."""

from testing.testday.models import MASSES
from vehicles.calculations.speeds import RunRecord, progress

# A driver may always start slower than the first rung, to get to know the vehicle.
SLOWER_BY_KMH = (10, 20)
FAILURES_THAT_STOP = 3


def standing_runs(day):
    """The runs that speak: in the order driven, without those struck out."""
    return list(day.runs.filter(struck=None).order_by("number"))


def progress_of(day):
    """Where each mass stands: what is done, what opens next, and why."""
    runs = standing_runs(day)
    history = [_record(run) for run in runs]
    released = {release.mass: release.after_run for release in day.releases.all()}
    return tuple(
        progress(
            ladder=day.work_up["speeds"]["ladder_kmh"],
            runs=history,
            mass=mass,
            failures_allowed=FAILURES_THAT_STOP,
            released_at=sum(run.number <= released.get(mass, 0) for run in runs),
        )
        for mass, _ in MASSES
    )


def _record(run):
    return RunRecord(
        mass=run.mass,
        aimed_kmh=run.aimed_kmh,
        measured_kmh=run.measured_kmh,
        outcome=run.outcome,
        counts=run.counts,
    )


def open_speeds(day, step):
    """Speeds that may be aimed at now, highest first: the open rung and everything below it."""
    if step.next_kmh is None:
        return ()
    rungs = day.work_up["speeds"]["ladder_kmh"]
    slower = [rungs[0] - less for less in SLOWER_BY_KMH]
    return tuple(sorted({*slower, *(rung for rung in rungs if rung <= step.next_kmh)}, reverse=True))
