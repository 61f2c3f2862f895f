"""After a day that did not pass: what changed, and which masses have to be driven again."""

from decimal import Decimal

from django.db import transaction

from jobs.audit import record
from jobs.models import Job
from jobs.refused import Refused
from jobs.workshop import prices
from testing.testday import ladder, stale
from testing.testday.models import MASSES, Retest
from testing.testday.result import latest_day, result
from vehicles.calculations.estimate import estimate


def possible(job):
    """The day that a retest follows, or why there is none."""
    day = latest_day(job)
    if day is None:
        return None, "No test day has been opened for this job: there is nothing to repeat."
    if hasattr(day, "retest"):
        return day, "The retest after that day is decided already; book the day and open it."
    if result(job).passed:
        return day, "The test is passed: there is nothing to repeat."
    ended = bool(day.booking.cancelled_at) or hasattr(day, "statement")
    if not ended:
        return day, "The last test day is still open: it ends with the driver's statement or by calling it off."
    return day, ""


def said_no(day):
    """Whether the driver, or the signatory under the driver's word, does not call the vehicle safe."""
    statement = getattr(day, "statement", None)
    signed = getattr(statement, "countersignature", None)
    return bool(statement and not statement.safe) or bool(signed and not signed.safe)


def must_repeat(day, *, vehicle_changed, mass_changed):
    """Masses to drive again. A changed vehicle or mass repeats all; else only what was not clean at the target."""
    if vehicle_changed or mass_changed or stale.changed_facts(day) or said_no(day):
        return [mass for mass, _ in MASSES]
    return [step.mass for step in ladder.progress_of(day) if not step.passed]


def cost_aud(job, day):
    """What one more day costs by the share that the price book sets; nothing more where the last was paid again."""
    if day.booking.paid_again:
        return Decimal(0)
    value = job.vehicle.market_value_aud
    again = estimate(
        needs_lane_change=True,
        needs_driving_report=False,
        market_value_aud=None if value is None else float(value),
        prices=prices.book(),
        retests=1,
    )
    return next(line.likely for line in again.lines if line.key == "retest")


@transaction.atomic
def decide(*, job, by, changed, vehicle_changed, mass_changed):
    """Keep the decision; the next day that is opened starts from it."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    day, reason = possible(job)
    if reason:
        raise Refused(reason)
    repeat = must_repeat(day, vehicle_changed=vehicle_changed, mass_changed=mass_changed)
    retest = Retest.objects.create(
        after=day,
        changed=changed,
        vehicle_changed=vehicle_changed or bool(stale.changed_facts(day)),
        mass_changed=mass_changed,
        carried=[mass for mass, _ in MASSES if mass not in repeat],
        cost_aud=cost_aud(job, day),
        by=by,
    )
    names = [name for mass, name in MASSES if mass in repeat]
    record(job, by, f"Retest decided: {', '.join(names) or 'no mass'} again", changed=changed)
    return retest
