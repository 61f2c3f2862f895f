"""The signatures: the driver's, the signatory's under it, and the certifier's where the vehicle is too heavy."""

from django.db import transaction
from django.utils.formats import date_format

from jobs.audit import record
from jobs.models import Job
from jobs.refused import Refused
from jobs.workshop.signatories import authority_of
from testing.testday import ladder, rating, settling, stale
from testing.testday.access import is_driver
from testing.testday.locking import locked, locked_open
from testing.testday.models import Countersignature, DriverStatement, DrivingReport
from testing.testday.opening import STEP_KEY
from testing.triage import decision
from testing.triage.canonical import plain
from testing.workup import inputs_of


@transaction.atomic
def sign_statement(*, day, by, safe, remark, signed_name, ratings=None, strokes=(), sent_as=None, signed_at=None):
    """The driver's word. "Safe" waits for both masses, each rated; "not safe" may be said at any time.

    From a phone without reception it comes with the mark it was sent as and the time it was signed.
    """
    day = locked_open(day)
    if not is_driver(by, day):
        raise Refused(f"Only {day.booking.driver.name} signs for this day.")
    ratings = ratings or {}
    if safe:
        _both_masses_passed(day)
        if problems := list(rating.problems(ratings)):
            raise Refused("“Safe” can be signed when the handling is rated. " + " ".join(problems))
    statement = DriverStatement.objects.create(
        day=day,
        driver=day.booking.driver,
        safe=safe,
        remark=remark,
        ratings=ratings,
        strokes=list(strokes),
        signed_name=signed_name,
        sent_as=sent_as,
        signed_at=signed_at,
        by=by,
    )
    word = "safe to drive" if safe else "not safe to drive"
    record(day.booking.job, by, f"Driver's statement signed: {word}", name=signed_name, remark=remark)
    return statement


def _both_masses_passed(day):
    waiting = [*stale.changes(day), *(step.reason for step in ladder.progress_of(day) if not step.passed)]
    if waiting:
        raise Refused("“Safe” can be signed when both masses are clean at the target. " + " ".join(waiting))


@transaction.atomic
def countersign(*, day, by, safe, remark, signed_name, strokes=()):
    """The signatory's own word, under the driver's. Signed once."""
    day = locked(day)
    if day.booking.job.stage != STEP_KEY:
        raise Refused(f"{day.booking.job.number} does not stand at the test day: nothing is signed on it.")
    statement = DriverStatement.objects.filter(day=day).first()
    if statement is None:
        raise Refused(f"{day.booking.driver.name} has not signed yet: the driver's statement comes first.")
    if hasattr(statement, "countersignature"):
        raise Refused("The statement is countersigned already; it is not changed any more.")
    number = authority_of(by, jurisdiction=day.booking.job.jurisdiction, on=day.booking.day)
    if not number:
        where = day.booking.job.get_jurisdiction_display()
        raise Refused(
            f"{by.full_name} has no authority number as a signatory in {where} on {date_format(day.booking.day)}: the "
            "administrator enters it."
        )
    if safe and not statement.safe:
        raise Refused("The driver does not call the vehicle safe to drive: a signatory cannot overrule that.")
    if safe and (open_items := settling.open_items(day)):
        raise Refused("Settle first: " + " ".join(item.text for item in open_items))
    signed = Countersignature.objects.create(
        statement=statement,
        safe=safe,
        remark=remark,
        signed_name=signed_name,
        authority_number=number,
        strokes=list(strokes),
        by=by,
    )
    record(day.booking.job, by, f"Driver's statement countersigned: {'safe' if safe else 'not safe'}", remark=remark)
    return signed


@transaction.atomic
def sign_driving_report(*, job, by, **said):
    """The certifier's own drive. Signed once for the vehicle as it is; changed, or not safe, it is driven again."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    if reason := report_waits_for(job, by=by):
        raise Refused(reason)
    report = DrivingReport.objects.create(job=job, by=by, inputs=plain(inputs_of(job)), **said)
    record(job, by, f"Driving report signed: {'safe' if report.safe else 'not safe'} to drive")
    return report


def report_waits_for(job, *, by):
    """Why this person can sign no driving report now, or an empty text.

    Who issues the certificate must have driven: another signatory than the one who did drives again.
    """
    last = job.driving_reports.last()
    if last is not None and last.safe and last.by == by and not stale.since(last.inputs, job):
        return "The driving report is signed already; it is not changed any more."
    if job.stage != STEP_KEY:
        return f"{job.number} does not stand at the test day: move it on to there first."
    if decision.need(job, decision.DRIVING_REPORT) != "required":
        return "The signed triage asks for no driving report."
    if decision.is_stale(job):
        return "Facts or rules changed since the triage was signed: sign it again first."
    return ""
