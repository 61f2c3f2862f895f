"""Writing down what happens on the day. Everything is decided again under the lock of the job."""

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from jobs.audit import record
from jobs.refused import Refused
from testing.testday import ladder, limits, readiness, stale
from testing.testday.locking import closed_because, locked, locked_open
from testing.testday.models import MASSES, Run, Stop, StruckRun

LONGEST_REASON = Run._meta.get_field("not_counting_because").max_length
UNDO_WITHIN = timedelta(minutes=1)
# Between two times of one phone, each set right by the server's clock over a slow line.
CLOCKS_DIFFER = timedelta(seconds=5)
# Driving back to the start takes longer than this: two entries so near each other may be one run.
SAME_RUN_WITHIN = timedelta(seconds=45)


def outside_limits(day, *, wind_mps, surface, gust_mps=None):
    """Why a run under these conditions proves nothing, reason by reason."""
    limit = limits.wind_mps(day)
    if wind_mps is None:
        yield "the wind was not measured"
    elif wind_mps > limit:
        yield f"wind {wind_mps:g} m/s is over the limit of {limit:g} m/s"
    if gust_mps is not None and gust_mps > limits.gust_mps(day):
        yield f"a gust of {gust_mps:g} m/s is over the limit of {limits.gust_mps(day):g} m/s"
    if surface != "dry":
        yield f"the surface was {surface}"
    for change in stale.changes(day):
        yield change.rstrip(".")


def _shortened(reasons):
    text = "; ".join(reasons)
    return text if len(text) <= LONGEST_REASON else text[: LONGEST_REASON - 1] + "…"


@transaction.atomic
def record_run(*, day, by, sent_as, mass, aimed_kmh, wind_mps, surface, driven_at=None, device="", **seen):
    """Store one run. Returns (run, True), or (the run stored before, False) when sent again.

    A run entered now is refused when it may not be driven. One that was driven while the device had
    no reception (``driven_at``) has happened: it is stored, and says why it proves nothing.
    """
    day = locked(day)
    if before := Run.objects.filter(sent_as=sent_as).first():
        if before.day_id != day.pk:
            raise Refused("This form belongs to another test day: reload the day sheet and record again.")
        return before, False
    reasons = list(outside_limits(day, wind_mps=wind_mps, surface=surface, gust_mps=seen.get("gust_mps")))
    untimely = []
    if driven_at is None:
        _may_be_driven(day, mass, aimed_kmh)
    else:
        untimely = list(_should_not_have_been(day, mass, aimed_kmh, driven_at))
    run = _store(
        day, by, [*untimely, *reasons], untimely=untimely, sent_as=sent_as, mass=mass, aimed_kmh=aimed_kmh,
        wind_mps=wind_mps, surface=surface, driven_at=driven_at, device=device,
        contests=_same_run(day, mass, driven_at, device), **seen,
    )  # fmt: skip
    return run, True


def _store(day, by, reasons, **facts):
    last = day.runs.order_by("number").last()
    run = Run.objects.create(
        day=day,
        number=last.number + 1 if last else 1,
        counts=not reasons,
        not_counting_because=_shortened(reasons),
        by=by,
        **facts,
    )
    details = {name: facts[name] for name in ("wind_mps", "surface", "device")}
    record(day.booking.job, by, str(run), counts=run.counts, driven_at=run.when.isoformat(), **details)
    return run


def _may_be_driven(day, mass, aimed_kmh):
    if reason := closed_because(day) or readiness.other_date(day):
        raise Refused(reason)
    if waiting := readiness.waits_for(day, mass=mass):
        raise Refused("Confirm first: " + "; ".join(item.text for item in waiting))
    if problem := _not_open(day, mass, aimed_kmh):
        raise Refused(problem)


def _should_not_have_been(day, mass, aimed_kmh, driven_at):
    """The same questions about a run that was driven and arrives later."""
    if hasattr(day, "statement"):
        yield "it reached the sheet after the driver had signed"
    if reason := readiness.other_date(day, driven_at):
        yield reason
    since = [release for release in day.releases.filter(mass=mass).select_related("by") if release.when > driven_at]
    if since:
        yield f"it was driven before the decision of {since[-1].by.full_name} and arrived after it"
    for item in readiness.waits_for(day, mass=mass, at=driven_at):
        yield f"not ready: {item.text.rstrip('.')}"
    if problem := _not_open(day, mass, aimed_kmh):
        yield problem.rstrip(".")


def _not_open(day, mass, aimed_kmh):
    step = next(step for step in ladder.progress_of(day) if step.mass == mass)
    if step.passed:
        return f"{dict(MASSES)[mass]} was clean at its target already: nothing more is driven at it"
    allowed = ladder.open_speeds(day, step)
    if not allowed:
        return step.reason
    if aimed_kmh not in allowed:
        listed = ", ".join(str(speed) for speed in allowed)
        return f"{aimed_kmh} km/h is not open. {step.reason} Open are {listed} km/h."
    return ""


def _same_run(day, mass, driven_at, device):
    """A run that another device wrote down at nearly the same moment: perhaps this very run."""
    moment = driven_at or timezone.now()
    others = day.runs.filter(struck=None).exclude(device=device)
    near = [run for run in others if abs(run.when - moment) < SAME_RUN_WITHIN]
    return min(near, key=lambda run: abs(run.when - moment), default=None)


@transaction.atomic
def undo_run(*, run, by, undone_at=None):
    """Within a minute, whoever wrote a run down takes it back. It stays readable.

    A phone without reception sends when that was (``undone_at``). Its word is taken for a run that came with it;
    a run that had reached the sheet before is the engineer's to strike out.
    """
    day = locked_open(run.day)
    if StruckRun.objects.filter(run=run).exists():
        return StruckRun.objects.get(run=run)
    if run.by_id != by.pk:
        raise Refused(f"{run.by.full_name} wrote run {run.number} down: only they can undo it.")
    moment = undone_at or timezone.now()
    if not -CLOCKS_DIFFER <= moment - run.when <= UNDO_WITHIN or timezone.now() - run.at > UNDO_WITHIN:
        raise Refused(f"Run {run.number} is older than a minute: the engineer corrects it with a reason.")
    struck = StruckRun.objects.create(run=run, reason="Undone within a minute of writing it down.", by=by)
    record(day.booking.job, by, f"Run {run.number} undone", day=day.pk)
    return struck


@transaction.atomic
def strike_run(*, run, by, reason):
    """Take a run out that was written down wrongly. It stays readable, with the reason."""
    day = locked(run.day)
    _standing(day, run)
    struck = StruckRun.objects.create(run=run, reason=reason, by=by)
    record(day.booking.job, by, f"Run {run.number} struck out: {reason}"[:200], day=day.pk)
    return struck


def _standing(day, run):
    if day.booking.job.done:
        raise Refused("The file is closed: its runs stand as the certificate says.")
    if StruckRun.objects.filter(run=run).exists():
        raise Refused(f"Run {run.number} is struck out already.")


@transaction.atomic
def correct_run(*, run, by, reason, sent_as, **seen):
    """Write a run down anew in the place of one that was written wrongly; both stay, with the reason."""
    day = locked(run.day)
    if before := Run.objects.filter(sent_as=sent_as).first():
        return before
    _standing(day, run)
    if ladder.contested(day, run):
        raise Refused(f"Settle first whether run {run.number} and the one from the other phone are one run.")
    wanted = {name: getattr(run, name) for name in _CORRECTABLE} | seen
    # A correction of what was seen does not mend when it was driven.
    reasons = [
        *run.untimely,
        *outside_limits(day, wind_mps=wanted["wind_mps"], surface=wanted["surface"], gust_mps=wanted["gust_mps"]),
    ]
    StruckRun.objects.create(run=run, reason=reason, by=by)
    corrected = _store(
        day,
        by,
        reasons,
        untimely=run.untimely,
        sent_as=sent_as,
        mass=run.mass,
        driven_at=run.when,
        device=run.device,
        corrects=run,
        **wanted,
    )
    record(day.booking.job, by, f"Run {run.number} corrected as run {corrected.number}", reason=reason)
    return corrected


# What a correction may say differently; the mass and the moment stay.
_CORRECTABLE = (
    "aimed_kmh", "measured_kmh", "outcome", "cones_moved", "cones", "wind_mps", "gust_mps", "surface", "roll_deg",
    "wheel_lift", "driver_stops", "remark",
)  # fmt: skip


@transaction.atomic
def call_stop(*, day, by, reason, sent_as, called_at=None):
    """Anybody of the crew stops the climb. Only the engineer lets it go on.

    From a phone without reception it comes with the time it was called.
    """
    day = locked(day)
    if before := Stop.objects.filter(sent_as=sent_as).first():
        return before
    if closed := closed_because(day):
        raise Refused(closed)
    stop = Stop.objects.create(day=day, reason=reason, sent_as=sent_as, called_at=called_at, by=by)
    record(day.booking.job, by, f"Stopped: {reason}"[:200], day=day.pk)
    return stop
