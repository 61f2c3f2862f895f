"""What stops the signature, every reason at once and each with the page where it can be mended."""

from django.urls import reverse
from django.utils import timezone

from certificates import authority, checking, meeting, photos
from jobs.steps import Blocker
from testing.testday.result import result
from testing.triage import decision

STEP_KEY = "certification"


def missing(job, *, by):
    """Yield a Blocker for everything that must be settled before this person can sign."""
    yield from _place(job)
    yield from _identity(job)
    yield from _decision(job)
    page = reverse("jobs:job", args=[job.number])
    for reason in result(job).reasons:
        yield Blocker(text=reason, url=f"{page}#step-testday")
    yield from _driven_by_another(job, by)
    yield from _unmet(job)
    for fault in photos.faults(job):
        yield Blocker(text=fault, url=reverse("jobs:photos", args=[job.number]))
    if gap := authority.gap(by, job, on=timezone.localdate()):
        yield gap
    yield from _address(by)


def _place(job):
    if job.done:
        yield Blocker(text=f"{job.number} is closed already.", url=job.get_absolute_url())
    elif job.stage != STEP_KEY:
        yield Blocker(text=f"{job.number} has not reached certifying yet.", url=job.get_absolute_url())


def _identity(job):
    """A certificate that speaks of no vehicle in particular, or of nothing that was modified, certifies nothing."""
    if not (job.vehicle.vin or job.vehicle.chassis_number):
        page = reverse("jobs:vehicle", args=[job.number])
        text = "Neither VIN nor chassis number is known: nothing says which vehicle this is."
        yield Blocker(text=text, url=f"{page}#id_vin")
    if not job.vehicle.modifications.exists():
        page = reverse("jobs:modifications", args=[job.number])
        yield Blocker(text="No modification is recorded: there is nothing to certify.", url=page)


def _decision(job):
    if (signed := decision.signed(job)) is None:
        return
    if decision.need(job, meeting.NEVER) == "required":
        text = "By the signed triage it cannot be certified as it is: change it back."
        yield Blocker(text=text, url=reverse("testing:triage", args=[job.number]))
    for changed in decision.differences(job, signed, decision.triage_of(job)):
        text = f"Changed since the triage was signed: {changed}"
        yield Blocker(text=text, url=reverse("testing:triage", args=[job.number]))


def _address(by):
    if nowhere := checking.leads_nowhere():
        text = (
            f"Certificates would say for good that anybody checks them at {nowhere}, which is this machine alone. "
            "The administrator enters the address of this site under Workshop."
        )
        yield Blocker(text=text, url=reverse("jobs:workshop") if by.has_perm("jobs.keep_workshop") else "")


def _driven_by_another(job, by):
    """The outcome says that the signatory has driven the vehicle; somebody else's drive does not make that true.

    The lane change is another matter: there the driver's and the signatory's names stand on the certificate.
    """
    if decision.need(job, decision.DRIVING_REPORT) != "required":
        return
    report = job.driving_reports.select_related("by").last()
    if report is not None and report.by != by:
        drove, page = report.by.full_name, reverse("testing:driving_report", args=[job.number])
        text = (
            f"{drove} drove for the driving report, and the certificate states that its signatory has driven the "
            f"vehicle: either {drove} signs it, or {by.full_name} drives and reports as well."
        )
        yield Blocker(text=text, url=page)


def _unmet(job):
    """A requirement that somebody signed and nobody vouches for."""
    page = reverse("certificates:requirements", args=[job.number])
    for line in meeting.lines(job):
        if line.open:
            text = f"{line.heading}: required by the signed triage, and nothing says yet how it is met."
            yield Blocker(text=text, url=f"{page}#id_words-{line.key}")
