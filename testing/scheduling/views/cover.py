"""Insurance cover of one job."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, job_or_404, saved, saying_why
from testing.scheduling import services
from testing.scheduling.forms import CoverForm


@allow("testing.schedule")
def cover(request, number):
    """What is recorded, and one more."""
    job = job_or_404(number)
    form = drafts.fill(CoverForm, request)

    def add(said):
        upload, content_type = said.pop("document"), getattr(form, "content_type", "")
        cover = form.save(commit=False)
        return services.add_cover(by=request.user, job=job, cover=cover, upload=upload, content_type=content_type)

    if acted(request, form, add):
        return saved(request, "Cover recorded.", "jobs:job", job.number)
    covers = job.covers.select_related("document")
    return render(request, "testing/scheduling/cover.html", {"job": job, "form": form, "covers": covers})


@allow("testing.schedule")
@require_POST
def remove_cover(request, number, pk):
    job = job_or_404(number)
    with saying_why(request):
        services.remove_cover(by=request.user, job=job, pk=pk)
        messages.success(request, "Cover removed; the audit trail keeps what it was.")
    return redirect("testing:cover", job.number)
