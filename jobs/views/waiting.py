"""Saying that a job waits for somebody."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts, services
from jobs.access import allow
from jobs.forms import WaitingForm
from jobs.views.shared import job_or_404, saved


@allow("jobs.book_in")
def wait_for(request, number):
    """Whom the job waits for and until when. The job book moves it there."""
    job = job_or_404(number)
    form = drafts.fill(WaitingForm, request, instance=getattr(job, "waiting", None))
    if request.method == "POST" and form.is_valid():
        services.wait_for(by=request.user, job=job, **form.cleaned_data)
        return saved(request, f"{job.number} waits for {form.cleaned_data['who']}.", job)
    return render(request, "jobs/wait_for.html", {"job": job, "form": form})


@allow("jobs.book_in")
@require_POST
def wait_no_more(request, number):
    job = job_or_404(number)
    services.wait_no_more(by=request.user, job=job)
    messages.success(request, f"{job.number} waits no more.")
    return redirect(job)
