"""Closing a job without a certificate, and opening it again."""

from django.shortcuts import redirect, render

from jobs import drafts, endings
from jobs.access import allow
from jobs.forms import EndingForm, OpenAgainForm
from jobs.views.shared import job_or_404, saved, saying_why


@allow("jobs.book_in")
def close_without(request, number):
    """A job that comes to nothing leaves the book, with the reason."""
    job = job_or_404(number)
    form = drafts.fill(EndingForm, request)
    if request.method == "POST" and form.is_valid():
        with saying_why(request):
            endings.close(job=job, by=request.user, **form.cleaned_data)
            return saved(request, f"{job.number} is closed without a certificate.", "jobs:job", job.number)
        return redirect(job)
    return render(request, "jobs/close_without.html", {"job": job, "form": form})


@allow("jobs.send_back")
def open_again(request, number):
    """The engineer takes up a job again that was closed without a certificate."""
    job = job_or_404(number)
    form = drafts.fill(OpenAgainForm, request)
    if request.method == "POST" and form.is_valid():
        with saying_why(request):
            endings.open_again(job=job, by=request.user, reason=form.cleaned_data["reason"])
            return saved(request, f"{job.number} is open again.", "jobs:job", job.number)
        return redirect(job)
    return render(request, "jobs/open_again.html", {"job": job, "form": form})
