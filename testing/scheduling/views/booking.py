"""Booking, confirming, moving and cancelling the test day of one job."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, job_or_404, saved, saying_why
from testing.scheduling import gear, services
from testing.scheduling.forms import BookForm, CancelForm, MoveForm


@allow("testing.schedule")
def schedule(request, number):
    """Book a day, or move the day that is booked."""
    job = job_or_404(number)
    booking = services.standing_booking(job)
    form = drafts.fill(MoveForm if booking else BookForm, request, initial=_initial(booking))
    if booked := acted(request, form, lambda said: _act(request, job, form, moving=booking), at_form=True):
        return saved(request, f"{'Held' if booked.held_until else 'Booked'}: {booked}.", "jobs:job", job.number)
    return render(
        request,
        "testing/scheduling/schedule.html",
        {"job": job, "booking": booking, "form": form, "cancel_form": CancelForm(prefix="cancel")},
    )


def _act(request, job, form, *, moving):
    if not moving:
        return services.book(by=request.user, job=job, **form.wanted())
    given_up = {name: form.cleaned_data[name] for name in ("reason", "cause", "paid_again")}
    return services.move(by=request.user, job=job, **given_up, **form.wanted())


def _initial(booking):
    if booking is None:
        return {"instruments": [one.pk for one in gear.choose(timezone.localdate())[0]]}
    length = (booking.ends_at - booking.starts_at).total_seconds() / 3600
    return {
        "site": booking.site_id,
        "day": booking.day,
        "start": booking.local_start.time(),
        "hours": f"{length:g}",
        "driver": booking.driver_id,
        "observers": [person.pk for person in booking.observers.all()],
        "instruments": [one.pk for one in booking.instruments.all()],
    }


@allow("testing.schedule")
@require_POST
def confirm_booking(request, number):
    """Make a hold a booking."""
    job = job_or_404(number)
    with saying_why(request):
        booking = services.confirm(by=request.user, job=job)
        return saved(request, f"Booked: {booking}.", "jobs:job", job.number)
    return redirect(job)


@allow("testing.schedule")
@require_POST
def cancel_booking(request, number):
    job = job_or_404(number)
    form = CancelForm(request.POST, prefix="cancel")
    if not form.is_valid():
        messages.error(
            request, "Choose what the booking is cancelled for, and say why in at most 150 characters; it still stands."
        )
        return redirect("testing:schedule", job.number)
    with saying_why(request):
        services.cancel(by=request.user, job=job, **form.cleaned_data)
        return saved(request, "Booking cancelled; what it took is free again.", "jobs:job", job.number)
    return redirect(job)
