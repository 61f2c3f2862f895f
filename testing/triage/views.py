"""Triage pages: the desk's first look, the engineer's decision, and what was signed before."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.booking_step import blockers
from jobs.views.shared import job_or_404, saved
from testing.triage import bring, decision
from testing.triage.forms import OverrideForm


@allow("testing.view_triage")
def first_look(request, number):
    """What the desk can tell the owner at once: is a test likely, why, what it costs, what to bring."""
    job = job_or_404(number)
    triage = decision.triage_of(job)
    lane_change = triage.lane_change
    return render(
        request,
        "testing/triage/first_look.html",
        {
            "job": job,
            "triage": triage,
            "bring": bring.list_for(lane_change and lane_change.computed["need"]),
            "blockers": list(blockers(job)) if job.stage == "booking" else [],
        },
    )


@allow("testing.view_triage")
def triage(request, number):
    """The facts, the requirements with their reasons, and the signature."""
    job = job_or_404(number)
    now = decision.triage_of(job)
    signed = decision.signed(job)
    return render(
        request,
        "testing/triage/triage.html",
        {
            "job": job,
            "triage": now,
            "signed": signed,
            "editions": [edition for edition in decision.in_force(job.jurisdiction) if edition],
            "differences": decision.differences(job, signed, now) if signed else [],
            "earlier": job.signed_triages.select_related("by"),
        },
    )


@allow("testing.sign_triage")
def decide(request, number, code):
    """The engineer decides one line with a reason."""
    job = job_or_404(number)
    line = decision.triage_of(job).line(code)
    if line is None:
        messages.error(request, f"{code} is not a line of this triage.")
        return redirect("testing:triage", job.number)
    form = drafts.fill(OverrideForm, request)
    if request.method == "POST" and form.is_valid():
        try:
            decision.override(job=job, by=request.user, code=code, **form.cleaned_data)
        except decision.NotSigned as refused:
            messages.error(request, str(refused))
        else:
            return saved(request, f"{code} decided.", "testing:triage", job.number)
    return render(request, "testing/triage/decide.html", {"job": job, "line": line, "form": form})


@allow("testing.sign_triage")
@require_POST
def sign(request, number):
    job = job_or_404(number)
    try:
        decision.sign(job=job, by=request.user)
    except decision.NotSigned as refused:
        messages.error(request, str(refused))
        return redirect("testing:triage", job.number)
    messages.success(request, "Triage signed.")
    return redirect(job)


@allow("testing.view_triage")
def signed_triage(request, number, pk):
    """A decision as it was signed, with the inputs and rules of that day."""
    job = job_or_404(number)
    signed = get_object_or_404(job.signed_triages.select_related("by"), pk=pk)
    return render(request, "testing/triage/signed.html", {"job": job, "signed": signed})
