"""Booked tests, for the day in the job book."""

from datetime import timedelta

from jobs.arrivals import Arrival
from testing.scheduling.models import Booking


def booked(start, end):
    """Every standing booking that begins in the span, by the clock of its site."""
    # A booking ends on the day on which it begins, and standing bookings are indexed by their end.
    soon = Booking.objects.filter(cancelled_at=None, ends_at__gt=start, ends_at__lt=end + timedelta(days=1))
    bookings = soon.filter(starts_at__gte=start, starts_at__lt=end)
    # Jobs are fetched for the few bookings found: joined, a database may begin at the many jobs instead.
    bookings = bookings.select_related("site", "driver").prefetch_related("job__vehicle", "job__owner")
    for booking in bookings:
        yield Arrival(
            at=booking.starts_at,
            clock=f"{booking.local_start:%H:%M} to {booking.local_end:%H:%M} {booking.local_end:%Z}",
            what=f"test at {booking.site}, driver {booking.driver}",
            job=booking.job,
        )
