"""The engineer says how each requirement of the signed triage is met, all lines on one page."""

from django.contrib import messages
from django.shortcuts import redirect, render

from certificates import meeting
from certificates.meeting_forms import MeetingForm
from certificates.models import MetBy
from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, job_or_404, saved
from testing.triage import decision


@allow("certificates.issue")
def requirements(request, number):
    """Filled as the papers come in: what is said is kept, what is left empty stays open."""
    job = job_or_404(number)
    if job.done or decision.signed(job) is None:
        text = "is closed: what its certificate rests on is in the report" if job.done else "has no signed triage yet"
        messages.error(request, f"{job.number} {text}.")
        return redirect(job)
    form = drafts.fill(MeetingForm, request, job=job)
    kept = acted(request, form, lambda said: meeting.say(job=job, by=request.user, said=said))
    if kept is not None:
        still = sum(line.open for line in meeting.lines(job))
        text = f"Stated: {len(kept)}. Still open: {still or 'none'}."
        return saved(request, text, "certificates:requirements", job.number)
    lines = meeting.lines(job)
    context = {
        "job": job,
        "form": form,
        "open": [line for line in lines if line.open],
        "by_sheets": [line for line in lines if line.sheet],
        "earlier": MetBy.objects.filter(job=job).select_related("by"),
        "signed": decision.signed(job),
    }
    return render(request, "certificates/requirements.html", context)
