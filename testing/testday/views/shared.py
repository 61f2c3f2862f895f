"""What the pages of a test day have in common."""

from django.shortcuts import render


def page(request, template, day, /, **context):
    """A page about one day."""
    shared = {"day": day, "job": day.booking.job, "booking": day.booking}
    return render(request, f"testing/testday/{template}.html", {**shared, **context})
