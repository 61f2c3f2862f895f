"""The driver's statement, the signatory's word under it, and the certifier's driving report."""

from django.core.exceptions import PermissionDenied
from django.shortcuts import render

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, job_or_404, saved
from testing.testday import access, ladder, settling
from testing.testday.locking import closed_because
from testing.testday.procedure import procedure
from testing.testday.signing import countersign, report_waits_for, sign_driving_report, sign_statement
from testing.testday.signing_forms import CountersignForm, DrivingReportForm, StatementForm
from testing.testday.state import state_of
from testing.testday.views.shared import page


@allow("testing.drive", "testing.run_test_day")
def statement(request, pk):
    """The driver of this day rates the handling and signs whether the vehicle is safe to drive."""
    day = access.recordable_day(request, pk)
    if not access.is_driver(request.user, day):
        raise PermissionDenied
    form = drafts.fill(StatementForm, request, driver=day.booking.driver)
    if acted(request, form, lambda said: sign_statement(day=day, by=request.user, **said)):
        return saved(request, "Statement signed.", "testing:day_sheet", day.pk)
    return page(
        request,
        "statement",
        day,
        form=form,
        closed=closed_because(day),
        progress=ladder.progress_of(day),
        state=state_of(day, request.user),
    )


@allow("testing.run_test_day")
def countersign_statement(request, pk):
    """The signatory signs under the driver's statement."""
    day = access.recordable_day(request, pk)
    form = drafts.fill(CountersignForm, request, signatory=request.user)
    if acted(request, form, lambda said: countersign(day=day, by=request.user, **said)):
        return saved(request, "Statement countersigned.", "testing:day_sheet", day.pk)
    return page(
        request,
        "countersign",
        day,
        statement=getattr(day, "statement", None),
        zone=day.booking.site.zone,
        form=form,
        progress=ladder.progress_of(day),
        open_items=settling.open_items(day),
    )


@allow("testing.run_test_day")
def driving_report(request, number):
    """The certifier drives and reports, where the vehicle is too heavy for the lane-change test."""
    job = job_or_404(number)
    form = drafts.fill(DrivingReportForm, request, job=job, signatory=request.user)
    if acted(request, form, lambda said: sign_driving_report(job=job, by=request.user, **said)):
        return saved(request, "Driving report signed.", "jobs:job", job.number)
    context = {
        "job": job,
        "form": form,
        "waits_for": report_waits_for(job, by=request.user),
        "sheet": procedure("driving_report"),
        "reports": job.driving_reports.select_related("by").order_by("-pk"),
    }
    return render(request, "testing/testday/driving_report.html", context)
