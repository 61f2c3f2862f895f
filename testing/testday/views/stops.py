"""Stopping, setting the angle, and ruling on what two sources say differently."""

import uuid

from django.http import Http404

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, saved
from testing.testday import access, limits, settling
from testing.testday.models import Settlement
from testing.testday.recording import call_stop
from testing.testday.sheet_forms import RollLimitForm, SettleForm, StopForm
from testing.testday.state import state_of
from testing.testday.views.shared import page


@allow("testing.drive", "testing.run_test_day")
def stop(request, pk):
    """The crew's word: nothing more is driven until the engineer decides."""
    day = access.recordable_day(request, pk)
    form = drafts.fill(StopForm, request, initial={"sent_as": uuid.uuid4()})
    if acted(request, form, lambda said: call_stop(day=day, by=request.user, **said)):
        return saved(request, "Stopped. The engineer decides how to go on.", "testing:day_sheet", day.pk)
    return page(request, "stop", day, form=form, state=state_of(day, request.user))


@allow("testing.run_test_day")
def roll_limit(request, pk):
    """The engineer sets the angle of roll for this vehicle."""
    day = access.recordable_day(request, pk)
    form = drafts.fill(RollLimitForm, request)
    if acted(request, form, lambda said: limits.set_roll(day=day, by=request.user, **said)):
        return saved(request, "Angle set.", "testing:day_sheet", day.pk)
    return page(request, "roll_limit", day, form=form, angle=limits.roll_deg(day))


@allow("testing.run_test_day")
def settle(request, pk, about, key):
    """One open question, the choices, a reason."""
    day = access.recordable_day(request, pk)
    item = next((item for item in settling.open_items(day) if (item.about, item.key) == (about, key)), None)
    if item is None:
        if about in dict(Settlement._meta.get_field("about").choices) and day.settlements.filter(key=key).exists():
            return saved(request, "That is settled already.", "testing:day_sheet", day.pk)
        raise Http404
    form = drafts.fill(SettleForm, request, item=item)
    if acted(request, form, lambda said: settling.settle(day=day, by=request.user, about=about, key=key, **said)):
        return saved(request, "Settled, with your reason.", "testing:day_sheet", day.pk)
    return page(request, "settle", day, item=item, form=form)
