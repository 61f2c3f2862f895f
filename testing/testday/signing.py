"""Two signatures: the driver's after the runs, and the certifier's where the vehicle is too heavy for them."""

from django.db import transaction

from jobs.audit import record
from jobs.models import Job
from testing.testday import ladder, stale
from testing.testday.access import is_driver
from testing.testday.locking import locked_open
from testing.testday.models import DriverStatement, DrivingReport
from testing.testday.opening import STEP_KEY
from testing.testday.refused import Refused
from testing.triage import decision


@transaction.atomic
def sign_statement(*, day, by, safe, remark, signed_name):
    """The driver's word. "Safe" waits for both masses; "not safe" may be said at any time."""
    day = locked_open(day)
    if not is_driver(by, day):
        raise Refused(f"Only {day.booking.driver.name} signs for this day.")
    if safe:
        _both_masses_passed(day)
    statement = DriverStatement.objects.create(
        day=day, driver=day.booking.driver, safe=safe, remark=remark, signed_name=signed_name, by=by
    )
    word = "safe to drive" if safe else "not safe to drive"
    record(day.booking.job, by, f"Driver's statement signed: {word}", name=signed_name, remark=remark)
    return statement


def _both_masses_passed(day):
    waiting = [*stale.changes(day), *(step.reason for step in ladder.progress_of(day) if not step.passed)]
    if waiting:
        raise Refused("“Safe” can be signed when both masses are clean at the target. " + " ".join(waiting))


@transaction.atomic
def sign_driving_report(*, job, by, **said):
    """The certifier's own drive, signed once."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    if reason := report_waits_for(job):
        raise Refused(reason)
    report = DrivingReport.objects.create(job=job, by=by, **said)
    record(job, by, f"Driving report signed: {'safe' if report.safe else 'not safe'} to drive")
    return report


def report_waits_for(job):
    """Why no driving report can be signed now, or an empty text."""
    if hasattr(job, "driving_report"):
        return "The driving report is signed already; it is not changed any more."
    if job.stage != STEP_KEY:
        return f"{job.number} does not stand at the test day: move it on to there first."
    if decision.need(job, decision.DRIVING_REPORT) != "required":
        return "The signed triage asks for no driving report."
    if decision.is_stale(job):
        return "Facts or rules changed since the triage was signed: sign it again first."
    return ""
