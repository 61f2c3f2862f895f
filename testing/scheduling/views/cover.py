"""Insurance cover of one job."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import job_or_404, saved
from testing.scheduling import services
from testing.scheduling.forms import CoverForm


@allow("testing.schedule")
def cover(request, number):
    """What is recorded, and one more."""
    job = job_or_404(number)
    form = drafts.fill(CoverForm, request)
    if request.method == "POST" and form.is_valid():
        upload = form.cleaned_data.pop("document")
        try:
            services.add_cover(
                by=request.user,
                job=job,
                cover=form.save(commit=False),
                upload=upload,
                content_type=getattr(form, "content_type", ""),
            )
        except services.Refused as refused:
            messages.error(request, str(refused))
        else:
            return saved(request, "Cover recorded.", "jobs:job", job.number)
    covers = job.covers.select_related("document")
    return render(request, "testing/scheduling/cover.html", {"job": job, "form": form, "covers": covers})


@allow("testing.schedule")
@require_POST
def remove_cover(request, number, pk):
    job = job_or_404(number)
    try:
        services.remove_cover(by=request.user, job=job, pk=pk)
    except services.Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "Cover removed; the audit trail keeps what it was.")
    return redirect("testing:cover", job.number)
