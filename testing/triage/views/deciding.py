"""The engineer's pages: facts and requirements on one page, deciding, signing, and what was signed."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, job_or_404, saved, saying_why
from testing.triage import decision
from testing.triage.editions import rule_set_for
from testing.triage.facts import facts_for, gaps, later
from testing.triage.forms import OpenLinesForm, OverrideForm


@allow("testing.view_triage")
def triage(request, number):
    """The facts, the requirements with their reasons, and the signature."""
    job = job_or_404(number)
    now = decision.triage_of(job)
    signed = decision.signed(job)
    undecided = now.work_up["undecided"] if now.work_up else []
    asked = now.lane_change and now.lane_change.need not in ("not_required", "not_applicable")
    return render(
        request,
        "testing/triage/triage.html",
        {
            "job": job,
            "triage": now,
            "facts": facts_for(job),
            "missing": gaps(job, undecided),
            "later": later(job, rule_set_for(job.jurisdiction), undecided) if asked else [],
            "signed": signed,
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
    if acted(request, form, lambda said: decision.override(job=job, by=request.user, code=code, **said)):
        return saved(request, f"{line.heading} decided.", "testing:triage", job.number)
    return render(request, "testing/triage/decide.html", {"job": job, "line": line, "form": form})


@allow("testing.sign_triage")
def decide_open(request, number):
    """All open lines on one page. Complete lines are kept at once, the others stay as they were typed."""
    job = job_or_404(number)
    lines = decision.triage_of(job).open_lines
    if not lines:
        messages.success(request, "No line is open.")
        return redirect("testing:triage", job.number)
    form = drafts.fill(OpenLinesForm, request, lines=lines)
    if request.method == "POST":
        valid, complete = form.is_valid(), form.complete
        with saying_why(request):
            decision.decide(job=job, by=request.user, decisions=complete)
            if valid:
                text = f"Decided: {len(complete)}. Left open: {len(lines) - len(complete)}."
                return saved(request, text, "testing:triage", job.number)
            if complete:
                messages.success(request, f"Decided and kept: {len(complete)}. Please mend the rest.")
                form = _rest(form, request, job)
    return render(request, "testing/triage/decide_open.html", {"job": job, "form": form, "count": len(form.lines)})


def _rest(form, request, job):
    """The same form with what is still open, as it was typed."""
    return type(form)(request.POST, lines=decision.triage_of(job).open_lines)


@allow("testing.sign_triage")
@require_POST
def sign(request, number):
    job = job_or_404(number)
    with saying_why(request):
        decision.sign(job=job, by=request.user, seen=request.POST.get("seen", ""))
        messages.success(request, "Triage signed.")
        return redirect(job)
    return redirect("testing:triage", job.number)


@allow("testing.view_triage")
def signed_triage(request, number, pk):
    """A decision as it was signed, with the inputs and rules of that day: the triage record."""
    job = job_or_404(number)
    signed = get_object_or_404(job.signed_triages.select_related("by"), pk=pk)
    latest = job.signed_triages.last() == signed
    return render(request, "testing/triage/signed.html", {"job": job, "signed": signed, "latest": latest})
