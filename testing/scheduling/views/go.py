"""Go or no-go for the test of one job."""

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, job_or_404, saved, saying_why
from testing.scheduling import go as going
from testing.scheduling import services, sheet
from testing.scheduling.go_forms import DecideForm, NoteForm

# Beside the form of the decision on one page: each field has its own name there.
_NOTE_ID = "note_%s"


@allow("testing.view_schedule")
def go(request, number):
    """Every condition with its evidence, the preparation sheet, and the decisions taken so far."""
    return _page(request, job_or_404(number))


@allow("testing.schedule")
def decide_go(request, number):
    """The word of the engineer on all that is known."""
    job = job_or_404(number)
    if services.standing_booking(job) is None:
        messages.error(request, f"{job.number} has no standing booking to decide on.")
        return redirect("testing:go", job.number)
    form = drafts.fill(DecideForm, request)
    if made := acted(request, form, lambda said: going.decide(by=request.user, job=job, **said), at_form=True):
        text = f"{made.get_decision_display().capitalize()} recorded; owner, crew and site are told."
        return saved(request, text, "testing:go", job.number)
    return _page(request, job, form=form)


def _page(request, job, note_form=None, **shown):
    booking = services.standing_booking(job)
    shown |= {"job": job, "booking": booking, "note_form": note_form or NoteForm(auto_id=_NOTE_ID)}
    if booking:
        shown |= {
            "conditions": going.conditions_for_go(job, booking),
            "decisions": booking.decisions.select_related("by"),
            "occasion": going.occasion(booking),
        }
    return render(request, "testing/scheduling/go.html", shown)


@allow("testing.schedule")
@require_POST
def note_preparation(request, number):
    """What was found about one item of the preparation."""
    job = job_or_404(number)
    form = NoteForm(request.POST, auto_id=_NOTE_ID)
    if not form.is_valid():
        for name, errors in form.errors.items():
            messages.error(request, f"{form.fields[name].label}: {' '.join(errors)}")
        return _page(request, job, note_form=form)
    with saying_why(request):
        going.note(by=request.user, job=job, **form.cleaned_data)
        return saved(request, "Written down.", "testing:go", job.number)
    return redirect("testing:go", job.number)


@allow("testing.view_schedule")
def preparation_sheet(request, number):
    """The sheet for the owner, as it stands."""
    job = job_or_404(number)
    booking = services.standing_booking(job)
    if booking is None:
        raise Http404
    return FileResponse(
        iter([sheet.pdf(booking)]),
        as_attachment=True,
        filename=sheet.filename(booking),
        content_type="application/pdf",
    )
