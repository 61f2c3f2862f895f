"""What the test day came to: the only place that says passed."""

from dataclasses import dataclass

from jobs.reading import read_once
from testing.testday import ladder, measuring, settling, stale
from testing.testday.models import DriverStatement, DrivingReport, TestDay
from testing.triage import decision
from vehicles.calculations.speeds import Progress


@dataclass(frozen=True, kw_only=True)
class Result:
    """``required`` lists what the signed triage asks for; ``reasons`` what of it is not met, in sentences.

    Where nothing is required there is nothing to pass and nothing in the way.
    """

    required: tuple[str, ...] = ()
    day: TestDay | None = None
    progress: tuple[Progress, ...] = ()
    statement: DriverStatement | None = None
    report: DrivingReport | None = None
    reasons: tuple[str, ...] = ()

    @property
    def passed(self):
        return bool(self.required) and not self.reasons


def required(job):
    """Codes of what this step has to deliver, by the signed triage; None while nothing is signed."""
    if decision.signed(job) is None:
        return None
    codes = (decision.LANE_CHANGE, decision.DRIVING_REPORT)
    driven = tuple(code for code in codes if decision.need(job, code) == "required")
    return (*driven, *measuring.asked(job))


def latest_day(job):
    """The day that counts. Earlier ones stay readable."""
    days = TestDay.objects.filter(booking__job=job)
    return days.select_related("booking__site", "booking__driver", "booking__job__vehicle").last()


@read_once
def result(job):
    """Passed: a clean counting run at the target at both masses, the driver's word that the vehicle is
    safe to drive, and the signatory's under it.

    A driver who is not satisfied fails the vehicle, however clean the runs. Where a driving report
    is required instead, passed is the certifier's signed report that says safe.
    """
    asked = required(job)
    if asked is None:
        return Result(reasons=("The triage is not signed: nothing says which test is needed.",))
    day = latest_day(job)
    progress = ladder.progress_of(day) if day else ()
    statement = getattr(day, "statement", None)
    report = DrivingReport.objects.filter(job=job).select_related("by").last()
    reasons = []
    if decision.LANE_CHANGE in asked:
        reasons += _lane_change(day, progress, statement)
    if decision.DRIVING_REPORT in asked:
        reasons += _driving(job, report)
    reasons += measuring.faults(job)
    return Result(
        required=asked, day=day, progress=progress, statement=statement, report=report, reasons=tuple(reasons)
    )


def _lane_change(day, progress, statement):
    if day is None:
        yield "The test day has not been opened."
        return
    if day.booking.cancelled_at:
        yield "The last test day was called off: book and open another."
    yield from stale.changed_facts(day)
    for step in progress:
        if not step.passed:
            yield step.reason
    if statement is None:
        yield f"{day.booking.driver.name} has not signed the driver's statement."
    elif not statement.safe:
        said = f": {statement.remark}" if statement.remark else "."
        yield f"{statement.signed_name}, who drove, does not call the vehicle safe to drive{said}"
    else:
        yield from _countersigned(statement)
    for item in settling.open_items(day):
        yield item.text


def _countersigned(statement):
    signed = getattr(statement, "countersignature", None)
    if signed is None:
        yield "The driver's statement is not countersigned by the signatory."
    elif not signed.safe:
        said = f": {signed.remark}" if signed.remark else "."
        yield f"{signed.signed_name}, who countersigned, does not call the vehicle safe to drive{said}"


def _driving(job, report):
    if report is None:
        yield "The certifier's driving report is not signed."
        return
    for change in stale.since(report.inputs, job):
        yield f"{change} The driving report speaks of the vehicle before: drive and report again."
    if not report.safe:
        yield f"{report.by.full_name}, who drove, does not call the vehicle safe to drive."
