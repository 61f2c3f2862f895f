"""Holding the file of a job, and queueing for what is booked with it."""

from contextlib import contextmanager

from django.db import OperationalError

from jobs.models import Job
from jobs.refused import Refused
from testing.models import Booking, CrewMember, Instrument, Site

BUSY = "Many people are booking just now and nothing was written. Try again in a moment."


def locked(job):
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise Refused(f"{job.number} is closed; nothing is planned for it any more.")
    return job


def standing_booking(job):
    """The booking that takes its time now, held or confirmed, or None."""
    return job.bookings.standing().select_related("site", "driver__user", "hire").first()


def queue_for(*, sites=(), crew=(), instruments=()):
    """Whoever books, moves and cancels waits here, in one order, instead of deadlocking on the slots."""
    for model, keys in ((Site, sites), (CrewMember, crew), (Instrument, instruments)):
        if keys:
            list(model.objects.select_for_update(no_key=True).filter(pk__in=keys).order_by("pk"))


def taken_by(bookings):
    """Keys of what these bookings hold, for `queue_for`."""
    bookings = [booking for booking in bookings if booking]
    rows = Booking.objects.filter(pk__in=[booking.pk for booking in bookings])
    return {
        "sites": {booking.site_id for booking in bookings},
        "crew": {booking.driver_id for booking in bookings}
        | set(rows.exclude(observers=None).values_list("observers", flat=True)),
        "instruments": set(rows.exclude(instruments=None).values_list("instruments", flat=True)),
    }


@contextmanager
def patiently():
    """A database that kept us waiting to the end is answered with a sentence, not with a fault."""
    try:
        yield
    except OperationalError as error:
        raise Refused(BUSY) from error
