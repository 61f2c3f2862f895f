"""What the engineer decides on a test day: corrections, runs struck out, going on."""

import uuid

from django.http import Http404
from django.shortcuts import get_object_or_404

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, saved
from testing.testday import access, going_on, ladder
from testing.testday.forms import CorrectionForm, GoOnForm, ReasonForm
from testing.testday.models import Release, StruckRun
from testing.testday.recording import correct_run, strike_run
from testing.testday.state import state_of
from testing.testday.views.shared import page


@allow("testing.run_test_day")
def correct(request, pk, number):
    """Write a run down anew; the first writing stays readable."""
    day = access.recordable_day(request, pk)
    run = get_object_or_404(day.runs, number=number)
    names = [name for name in CorrectionForm.base_fields if hasattr(run, name) and name not in ("mass", "device")]
    initial = {name: getattr(run, name) for name in names} | {"sent_as": uuid.uuid4()}
    initial["cones"] = [str(cone) for cone in run.cones]
    form = drafts.fill(CorrectionForm, request, initial=initial, run=run)
    if corrected := acted(request, form, lambda said: correct_run(run=run, by=request.user, **said)):
        text = f"Run {run.number} corrected: it stands as run {corrected.number}."
        return saved(request, text, "testing:day_sheet", day.pk)
    return page(request, "correct", day, run=run, form=form)


@allow("testing.run_test_day")
def strike(request, pk, number):
    """Take out a run that was written down wrongly."""
    day = access.recordable_day(request, pk)
    run = get_object_or_404(day.runs, number=number)
    form = drafts.fill(ReasonForm, request, longest=StruckRun._meta.get_field("reason").max_length)
    if acted(request, form, lambda said: strike_run(run=run, by=request.user, **said)):
        return saved(request, f"Run {run.number} struck out.", "testing:day_sheet", day.pk)
    return page(request, "strike", day, run=run, form=form)


@allow("testing.run_test_day")
def go_on(request, pk, mass):
    """The engineer lifts what stops the runs, as this page shows it."""
    day = access.recordable_day(request, pk)
    step = next((step for step in ladder.progress_of(day) if step.mass == mass), None)
    if step is None:
        raise Http404
    form = drafts.fill(GoOnForm, request, longest=Release._meta.get_field("reason").max_length)
    if acted(request, form, lambda said: going_on.release(day=day, mass=mass, by=request.user, **said)):
        return saved(request, "The climb goes on; your reason is kept.", "testing:day_sheet", day.pk)
    form.shows(going_on.seen(day, mass))
    return page(request, "go_on", day, step=step, form=form, state=state_of(day, request.user))
