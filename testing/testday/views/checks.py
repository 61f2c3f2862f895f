"""Checks before the runs: confirmed, taken back, or let pass."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, saved, saying_why
from testing.testday import access, checks
from testing.testday.forms import ReasonForm
from testing.testday.models import CheckException, TakenBack
from testing.testday.procedure import lane_change
from testing.testday.views.shared import page


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
    with saying_why(request):
        return checks.confirm(day=day, keys=keys, by=request.user, notes=notes)
    return None


@allow("testing.run_test_day")
def accept_exception(request, pk, key):
    """Let one check pass, where the procedure allows that."""
    day = access.recordable_day(request, pk)
    item = lane_change().item(key)
    if item is None or not item.exception:
        raise Http404
    form = drafts.fill(ReasonForm, request, longest=CheckException._meta.get_field("reason").max_length)
    if acted(request, form, lambda said: checks.accept_exception(day=day, key=key, by=request.user, **said)):
        return saved(request, "Exception accepted, with your reason.", "testing:day_sheet", day.pk)
    return page(request, "exception", day, item=item, form=form)


@allow("testing.drive", "testing.run_test_day")
def take_back(request, pk, key):
    """What was confirmed does not hold any more, or never did."""
    day = access.recordable_day(request, pk)
    item = lane_change().item(key)
    standing = checks.settled(day).get(key)
    if item is None:
        raise Http404
    form = drafts.fill(ReasonForm, request, longest=TakenBack._meta.get_field("reason").max_length)
    if acted(request, form, lambda said: checks.take_back(day=day, key=key, by=request.user, **said)):
        return saved(request, "Taken back: runs wait for this check again.", "testing:day_sheet", day.pk)
    return page(request, "take_back", day, item=item, standing=standing, form=form)
