"""What is really loaded, mass by mass."""

import uuid

from django.contrib import messages
from django.http import Http404
from django.utils.safestring import mark_safe

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, saved
from testing.testday import access, loading
from testing.testday.locking import closed_because
from testing.testday.models import MASSES
from testing.testday.sheet_forms import LoadingForm
from testing.testday.state import state_of
from testing.testday.views.shared import page
from testing.testday.work_up_page import planned
from vehicles.drawings import places_drawing


@allow("testing.drive", "testing.run_test_day")
def load(request, pk, mass):
    """The plan as a picture, and what came of it."""
    day = access.recordable_day(request, pk)
    if mass not in dict(MASSES):
        raise Http404
    form = drafts.fill(LoadingForm, request, initial={"sent_as": uuid.uuid4()}, day=day, mass=mass)
    if done := acted(request, form, lambda said: loading.record_loading(day=day, by=request.user, mass=mass, **said)):
        return _loaded(request, day, *done)
    target, lowest, highest = loading.limits(day, mass)
    context = {
        "mass": mass,
        "name": dict(MASSES)[mass],
        "state": state_of(day, request.user),
        "form": form,
        "closed": closed_because(day),
        "target": target,
        "lowest": lowest,
        "highest": highest,
        "tolerance": loading.tolerance(),
        "drawing": picture(day, mass),
        "load": planned(day, mass),
        "unrated": loading.unrated(day),
    }
    return page(request, "load", day, **context)


def _loaded(request, day, kept, new):
    if not kept.met:
        messages.warning(request, f"This is not the test mass: {kept.because}. Runs go on waiting.")
    text = f"{kept} – recorded." if new else f"Sent twice, stored once: {kept}."
    return saved(request, text, "testing:day_sheet", day.pk)


def picture(day, mass):
    """The plan of one mass as inline SVG, with what was really loaded when it was."""
    latest = loading.last_to(day, mass)
    places = [
        {"key": item.key, "title": item.title, "kg": item.kg, "loaded_kg": latest and latest.places.get(item.key)}
        for item in loading.plan(day, mass)
    ]
    # Our own markup, made of numbers and escaped words: nothing that anybody typed reaches it.
    return mark_safe(places_drawing(places, title=dict(MASSES)[mass]))  # noqa: S308
