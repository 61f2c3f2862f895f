"""What the pages of a test day have in common."""

from django.contrib import messages
from django.shortcuts import render

from jobs import drafts
from testing.testday.refused import Refused


def acted(request, form, act):
    """What `act` makes of a form that was sent and holds.

    None where it was not sent, does not hold, or was refused: then the reason is shown and what was typed is kept.
    """
    if request.method != "POST" or not form.is_valid():
        return None
    try:
        return act(form.said() if hasattr(form, "said") else form.cleaned_data)
    except Refused as refused:
        drafts.keep(request.user, request.path, request.POST)
        messages.error(request, str(refused))
        return None


def page(request, template, day, /, **context):
    """A page about one day."""
    shared = {"day": day, "job": day.booking.job, "booking": day.booking}
    return render(request, f"testing/testday/{template}.html", {**shared, **context})
