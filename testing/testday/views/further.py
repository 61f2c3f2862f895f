"""Measured procedures, and what follows a day that did not pass."""

from django.http import Http404
from django.shortcuts import render

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, job_or_404, saved
from testing.testday import measuring, must_change, retest
from testing.testday.models import MASSES
from testing.testday.procedures import measured, measured_keys
from testing.testday.sheet_forms import MeasurementForm, MustChangeForm, RetestForm


@allow("testing.run_test_day")
def measurement(request, number, kind):
    """The sheet of one measured procedure: what was found, against its limits."""
    job = job_or_404(number)
    if kind not in measured_keys():
        raise Http404
    procedure = measured(kind)
    form = drafts.fill(MeasurementForm, request, kind=procedure, job=job)
    if sheet := acted(
        request, form, lambda said: measuring.record_measurement(job=job, by=request.user, procedure=kind, **said)
    ):
        return saved(request, f"{procedure.title}: {'met' if sheet.met else 'not met'}.", request.path)
    sheets = job.measurements.filter(procedure=kind).select_related("by").order_by("-pk")
    for sheet in sheets:
        sheet.said = [(procedure.label(name), value) for name, value in sheet.values.items() if value is not None]
    context = {"job": job, "procedure": procedure, "form": form, "sheets": sheets}
    return render(request, "testing/testday/measurement.html", context)


@allow("testing.run_test_day")
def decide_retest(request, number):
    """What changed since the last day, and what has to be driven again."""
    job = job_or_404(number)
    day, waits_for = retest.possible(job)
    form = drafts.fill(RetestForm, request)
    if decided := acted(request, form, lambda said: retest.decide(job=job, by=request.user, **said)):
        again = [name for mass, name in MASSES if mass not in decided.carried]
        return saved(request, f"Retest decided: {' and '.join(again)} again.", "jobs:job", job.number)
    context = {"job": job, "day": day, "waits_for": waits_for, "form": form}
    if not waits_for:
        unchanged = retest.must_repeat(day, vehicle_changed=False, mass_changed=False)
        context |= {
            "as_is": [dict(MASSES)[mass] for mass in unchanged],
            "carried": [name for mass, name in MASSES if mass not in unchanged],
            "cost": retest.cost_aud(job, day),
        }
    return render(request, "testing/testday/retest.html", context)


@allow("testing.run_test_day")
def tell_must_change(request, number):
    """Tell the owner what has to change after a test that was not passed."""
    job = job_or_404(number)
    form = drafts.fill(MustChangeForm, request)
    if acted(request, form, lambda said: must_change.tell(job=job, by=request.user, **said)):
        return saved(request, "The owner is told: it stands on their page.", "jobs:job", job.number)
    return render(request, "testing/testday/must_change.html", {"job": job, "form": form})
