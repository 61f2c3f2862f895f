"""Reviewing the report as it will look, and signing."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from certificates import pdf, photos, services
from certificates.assembly import record_of
from certificates.forms import IssueForm
from certificates.gaps import missing
from jobs import drafts
from jobs.access import allow
from jobs.views.shared import job_or_404, saved


def _draft_record(request, job):
    return record_of(job, by=request.user, issued_at=timezone.now(), issued_on=timezone.localdate())


@allow("certificates.issue")
def preview(request, number):
    """What the certificate would rest on, what is missing, and the report as it will look."""
    job = job_or_404(number)
    context = {"job": job, "record": _draft_record(request, job), "missing": list(missing(job, by=request.user))}
    return render(request, "certificates/preview.html", context)


@allow("certificates.issue")
def draft(request, number):
    """The report as PDF, marked as a draft: no number, no seal."""
    job = job_or_404(number)
    content = pdf.report(_draft_record(request, job), photos=photos.prepared(job))
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{job.number}-draft.pdf"'
    response["Cache-Control"] = "private, no-store"
    return response


@allow("certificates.issue")
def issue(request, number):
    """The last look and the signature. Pressing twice issues one certificate."""
    job = job_or_404(number)
    if certificate := getattr(job, "certificate", None):
        messages.info(request, f"{certificate.number} is issued already.")
        return redirect("certificates:certificate", certificate.number)
    form = drafts.fill(IssueForm, request)
    if request.method == "POST" and form.is_valid():
        try:
            certificate = services.issue(job=job, by=request.user)
        except services.NotIssued as refused:
            for blocker in refused.blockers:
                messages.error(request, blocker.text)
        else:
            text = f"{certificate.number} is issued and sealed."
            return saved(request, text, "certificates:certificate", certificate.number)
    context = {
        "job": job,
        "form": form,
        "record": _draft_record(request, job),
        "missing": list(missing(job, by=request.user)),
    }
    return render(request, "certificates/issue.html", context)
