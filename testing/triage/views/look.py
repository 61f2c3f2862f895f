"""The desk's pages: what the rules say at first sight, and what they would say of other parts."""

from django.shortcuts import render

from jobs.access import allow
from jobs.booking_step import blockers
from jobs.views.shared import job_or_404
from testing.estimate import book_for, estimate_for
from testing.triage import bring
from testing.triage.editions import rule_set_for
from testing.triage.facts import gaps
from testing.triage.forms import WhatIfForm
from testing.triage.triage import facts_of, triage_of
from testing.triage.what_if import as_fitted, compare, instead
from vehicles.calculations.errors import CaseError


@allow("testing.view_triage")
def first_look(request, number):
    """What the desk can tell the owner at once: is a test likely, why, what it costs, what to bring."""
    job = job_or_404(number)
    triage = triage_of(job)
    return render(
        request,
        "testing/triage/first_look.html",
        {
            "job": job,
            "triage": triage,
            "estimate": None if triage.problems else estimate_for(job),
            "missing": gaps(job, triage.work_up["undecided"]) if triage.work_up else [],
            "bring": bring.list_for(triage.lines),
            "blockers": list(blockers(job)) if job.stage == "booking" else [],
        },
    )


@allow("testing.view_triage")
def what_if(request, number):
    """With 45 mm springs instead? Asked in the address, kept nowhere."""
    job = job_or_404(number)
    facts = facts_of(job)
    fitted = as_fitted(facts["modifications"])
    form = WhatIfForm({**fitted, **request.GET.dict()} if request.GET else None, initial=fitted)
    comparison, problems = None, ()
    if request.GET and form.is_valid():
        given = form.cleaned_data
        asked = {name for name in form.fields if (given[name] or None) != (fitted.get(name) or None)}
        try:
            modifications = instead(facts["modifications"], given, asked)
            comparison = compare(facts, modifications, rule_set_for(job.jurisdiction), prices=book_for(job))
        except CaseError as error:
            problems = error.problems
    context = {"job": job, "form": form, "comparison": comparison, "problems": problems}
    return render(request, "testing/triage/what_if.html", context)
