"""Writing down what happens on the day. Everything is decided again under the lock of the job."""

from django.db import transaction

from jobs.audit import record
from testing.testday import checks, ladder, stale
from testing.testday.locking import closed_because, locked, locked_open
from testing.testday.models import Release, Run, StruckRun
from testing.testday.refused import Refused

LONGEST_REASON = Run._meta.get_field("not_counting_because").max_length


def not_counting(day, *, wind_mps, surface):
    """Why a run under these conditions proves nothing; an empty text when it counts."""
    limit = day.work_up["limits"]["wind_mps"]
    reasons = []
    if wind_mps is None:
        reasons.append("the wind was not measured")
    elif wind_mps > limit:
        reasons.append(f"wind {wind_mps:g} m/s is over the limit of {limit:g} m/s")
    if surface != "dry":
        reasons.append(f"the surface was {surface}")
    reasons += [change.rstrip(".") for change in stale.changes(day)]
    text = "; ".join(reasons)
    return text if len(text) <= LONGEST_REASON else text[: LONGEST_REASON - 1] + "…"


@transaction.atomic
def record_run(*, day, by, sent_as, mass, aimed_kmh, wind_mps, surface, **seen):
    """Store one run. Returns (run, True), or (the run stored before, False) when sent again."""
    day = locked(day)
    if before := Run.objects.filter(sent_as=sent_as).first():
        if before.day_id != day.pk:
            raise Refused("This form belongs to another test day: reload the day sheet and record again.")
        return before, False
    if reason := closed_because(day):
        raise Refused(reason)
    _ready(day, mass)
    _speed_is_open(day, mass, aimed_kmh)
    why_not = not_counting(day, wind_mps=wind_mps, surface=surface)
    last = day.runs.order_by("number").last()
    run = Run.objects.create(
        day=day,
        number=last.number + 1 if last else 1,
        mass=mass,
        aimed_kmh=aimed_kmh,
        wind_mps=wind_mps,
        surface=surface,
        counts=not why_not,
        not_counting_because=why_not,
        sent_as=sent_as,
        by=by,
        **seen,
    )
    record(day.booking.job, by, str(run), wind_mps=wind_mps, surface=surface, counts=run.counts)
    return run, True


def _ready(day, mass):
    if missing := checks.missing(day, mass=mass):
        raise Refused("Confirm first: " + "; ".join(item.text for item in missing))


def _speed_is_open(day, mass, aimed_kmh):
    step = next(step for step in ladder.progress_of(day) if step.mass == mass)
    allowed = ladder.open_speeds(day, step)
    if not allowed:
        raise Refused(step.reason)
    if aimed_kmh not in allowed:
        listed = ", ".join(str(speed) for speed in allowed)
        raise Refused(f"{aimed_kmh} km/h is not open. {step.reason} Open are {listed} km/h.")


@transaction.atomic
def strike_run(*, run, by, reason):
    """Take a run out that was written down wrongly. It stays readable, with the reason."""
    day = locked(run.day)
    if day.booking.job.done:
        raise Refused("The file is closed: its runs stand as the certificate says.")
    if StruckRun.objects.filter(run=run).exists():
        raise Refused(f"Run {run.number} is struck out already.")
    struck = StruckRun.objects.create(run=run, reason=reason, by=by)
    record(day.booking.job, by, f"Run {run.number} struck out: {reason}"[:200], day=day.pk)
    return struck


@transaction.atomic
def release(*, day, mass, by, reason):
    """The engineer lets the climb go on after failures in a row stopped it."""
    day = locked_open(day)
    step = next(step for step in ladder.progress_of(day) if step.mass == mass)
    if not step.stopped:
        raise Refused("The climb is not stopped at this mass: there is nothing to release.")
    released = Release.objects.create(
        day=day, mass=mass, after_run=day.runs.order_by("number").last().number, reason=reason, by=by
    )
    record(day.booking.job, by, f"{released.get_mass_display()}: climb goes on", reason=reason)
    return released
