"""Recording runs on the day, and their photos."""

import uuid

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.refused import Refused
from jobs.views.shared import acted, saved, saying_why
from testing.testday import access, ladder, photos, readiness
from testing.testday.forms import RunForm
from testing.testday.models import MASSES
from testing.testday.recording import record_run, undo_run
from testing.testday.state import state_of
from testing.testday.views.shared import page
from testing.testday.work_up_page import tappable_cones


@allow("testing.drive", "testing.run_test_day")
def add_run(request, pk):
    """Write down one run."""
    day = access.recordable_day(request, pk)
    progress = ladder.progress_of(day)
    only = _mass_asked_for(request)
    steps = [step for step in progress if not only or step.mass == only]
    initial = {"sent_as": uuid.uuid4(), "mass": only, "aimed_kmh": steps[0].next_kmh}
    form = drafts.fill(RunForm, request, initial=initial, day=day, progress=progress, only=only)

    def write(said):
        run, new = record_run(day=day, by=request.user, **said)
        photos.add_all(run=run, by=request.user, chosen=request.FILES.getlist("photo"))
        return run, new

    if written := acted(request, form, write):
        return _recorded(request, day, *written)
    return page(
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
    with saying_why(request):
        undo_run(run=run, by=request.user)
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
