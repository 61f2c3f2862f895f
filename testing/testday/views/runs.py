"""Recording on the day: checks, runs, and what the engineer decides about them."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import saved
from testing.testday import access, checks, ladder, photos, readiness
from testing.testday.forms import CorrectionForm, ReasonForm, RunForm
from testing.testday.models import MASSES, CheckException, Release, StruckRun
from testing.testday.procedure import lane_change
from testing.testday.recording import correct_run, record_run, release, strike_run, undo_run
from testing.testday.refused import Refused
from testing.testday.state import state_of
from testing.testday.work_up_page import tappable_cones


def _page(request, name, day, **context):
    shared = {"day": day, "job": day.booking.job, "booking": day.booking}
    return render(request, f"testing/testday/{name}.html", {**shared, **context})


@allow("testing.drive", "testing.run_test_day")
@require_POST
def confirm_checks(request, pk):
    """Confirm the ticked checks, all at once or one by one."""
    day = access.recordable_day(request, pk)
    keys = request.POST.getlist("check")
    notes = {key: request.POST.get(f"note_{key}", "") for key in keys}
    nameless = {item.key for item in checks.unnamed(day, keys=keys, notes=notes)}
    # One instrument without a name does not cost the other ticks.
    new = _confirmed(request, day, [key for key in keys if key not in nameless], notes)
    if nameless:
        _confirmed(request, day, nameless, notes)
    if new:
        messages.success(request, f"{len(new)} confirmed, with your name and the time.")
    elif new is not None and not nameless:
        messages.warning(request, "Nothing was ticked that is not confirmed already.")
    return redirect("testing:day_sheet", day.pk)


def _confirmed(request, day, keys, notes):
    try:
        return checks.confirm(day=day, keys=keys, by=request.user, notes=notes)
    except Refused as refused:
        messages.error(request, str(refused))
        return None


@allow("testing.drive", "testing.run_test_day")
def add_run(request, pk):
    """Write down one run."""
    day = access.recordable_day(request, pk)
    progress = ladder.progress_of(day)
    only = _mass_asked_for(request)
    steps = [step for step in progress if not only or step.mass == only]
    initial = {"sent_as": uuid.uuid4(), "mass": only, "aimed_kmh": steps[0].next_kmh}
    form = drafts.fill(RunForm, request, initial=initial, day=day, progress=progress, only=only)
    if request.method == "POST" and form.is_valid():
        try:
            run, new = record_run(day=day, by=request.user, **form.cleaned_data)
            photos.add_all(run=run, by=request.user, chosen=request.FILES.getlist("photo"))
        except Refused as refused:
            drafts.keep(request.user, request.path, request.POST)
            messages.error(request, str(refused))
        else:
            return _recorded(request, day, run, new)
    return _page(
        request,
        "add_run",
        day,
        form=form,
        progress=steps,
        waiting=readiness.waits_for(day, mass=only) if only else [],
        not_today=readiness.other_date(day),
        state=state_of(day, request.user),
        drawing=tappable_cones(day),
    )


def _mass_asked_for(request):
    """The mass whose button was pressed. What was typed before may be about the other: then both stay open."""
    asked = request.GET.get("mass")
    fresh = request.method == "GET" and not drafts.kept(request.user, request.path)
    return asked if fresh and asked in dict(MASSES) else None


def _recorded(request, day, run, new):
    if new and not run.counts:
        messages.warning(request, f"Run {run.number} does not count: {run.not_counting_because}.")
    text = f"{run} – recorded." if new else f"Sent twice, stored once: {run}."
    return saved(request, text, "testing:day_sheet", day.pk)


@allow("testing.drive", "testing.run_test_day")
@require_POST
def undo(request, pk, number):
    """Take back what was written down less than a minute ago."""
    day = access.recordable_day(request, pk)
    run = get_object_or_404(day.runs, number=number)
    try:
        undo_run(run=run, by=request.user)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"Run {run.number} undone. It stays readable.")
    return redirect("testing:day_sheet", day.pk)


@allow("testing.drive", "testing.run_test_day")
@require_POST
def add_photo(request, pk, number):
    """A photo of one run, from the run screen of a phone: what is refused stays there, with the reason."""
    day = access.recordable_day(request, pk)
    run = get_object_or_404(day.runs, number=number)
    chosen = request.FILES.getlist("photo")
    try:
        marks = [uuid.UUID(mark) for mark in request.POST.getlist("mark")]
        added = photos.add_all(run=run, by=request.user, chosen=chosen, marks=marks[: len(chosen)])
    except ValueError:
        return _said("The mark of this photo cannot be read: choose the photo again.", status=409)
    except Refused as refused:
        return _said(str(refused), status=409)
    return _said(f"Photo of run {run.number} kept.") if added else _said("No photo was chosen.", status=409)


def _said(text, status=200):
    return HttpResponse(text, status=status, content_type="text/plain; charset=utf-8")


@allow("testing.drive", "testing.view_test_day")
def photo(request, pk, number):
    """A photo itself, for those who may read the sheet."""
    day = access.readable_day(request, pk)
    return photos.response(day, number)


@allow("testing.run_test_day")
def accept_exception(request, pk, key):
    """Let one check pass, where the procedure allows that."""
    day = access.recordable_day(request, pk)
    item = lane_change().item(key)
    if item is None or not item.exception:
        raise Http404
    form = drafts.fill(ReasonForm, request, longest=CheckException._meta.get_field("reason").max_length)
    if request.method == "POST" and form.is_valid():
        try:
            checks.accept_exception(day=day, key=key, by=request.user, reason=form.cleaned_data["reason"])
        except Refused as refused:
            drafts.keep(request.user, request.path, request.POST)
            messages.error(request, str(refused))
        else:
            return saved(request, "Exception accepted, with your reason.", "testing:day_sheet", day.pk)
    return _page(request, "exception", day, item=item, form=form)


@allow("testing.run_test_day")
def correct(request, pk, number):
    """Write a run down anew; the first writing stays readable."""
    day = access.recordable_day(request, pk)
    run = get_object_or_404(day.runs, number=number)
    names = [name for name in CorrectionForm.base_fields if hasattr(run, name) and name not in ("mass", "device")]
    initial = {name: getattr(run, name) for name in names} | {"sent_as": uuid.uuid4()}
    initial["cones"] = [str(cone) for cone in run.cones]
    form = drafts.fill(CorrectionForm, request, initial=initial, run=run)
    if request.method == "POST" and form.is_valid():
        try:
            corrected = correct_run(run=run, by=request.user, **form.cleaned_data)
        except Refused as refused:
            drafts.keep(request.user, request.path, request.POST)
            messages.error(request, str(refused))
        else:
            text = f"Run {run.number} corrected: it stands as run {corrected.number}."
            return saved(request, text, "testing:day_sheet", day.pk)
    return _page(request, "correct", day, run=run, form=form)


@allow("testing.run_test_day")
def strike(request, pk, number):
    """Take out a run that was written down wrongly."""
    day = access.recordable_day(request, pk)
    run = get_object_or_404(day.runs, number=number)
    form = drafts.fill(ReasonForm, request, longest=StruckRun._meta.get_field("reason").max_length)
    if request.method == "POST" and form.is_valid():
        try:
            strike_run(run=run, by=request.user, reason=form.cleaned_data["reason"])
        except Refused as refused:
            drafts.keep(request.user, request.path, request.POST)
            messages.error(request, str(refused))
        else:
            return saved(request, f"Run {run.number} struck out.", "testing:day_sheet", day.pk)
    return _page(request, "strike", day, run=run, form=form)


@allow("testing.run_test_day")
def go_on(request, pk, mass):
    """The engineer lifts the stop that failures in a row have set."""
    day = access.recordable_day(request, pk)
    step = next((step for step in ladder.progress_of(day) if step.mass == mass), None)
    if step is None:
        raise Http404
    form = drafts.fill(ReasonForm, request, longest=Release._meta.get_field("reason").max_length)
    if request.method == "POST" and form.is_valid():
        try:
            release(day=day, mass=mass, by=request.user, reason=form.cleaned_data["reason"])
        except Refused as refused:
            drafts.keep(request.user, request.path, request.POST)
            messages.error(request, str(refused))
        else:
            return saved(request, "The climb goes on; your reason is kept.", "testing:day_sheet", day.pk)
    return _page(request, "go_on", day, step=step, form=form, state=state_of(day, request.user))
