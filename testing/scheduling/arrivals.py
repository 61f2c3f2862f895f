"""Booked tests, for the day in the job book."""

from jobs.arrivals import Arrival
from testing.scheduling.models import Booking


def booked(start, end):
    """Every standing booking that begins in the span, by the clock of its site."""
    bookings = Booking.objects.filter(cancelled_at=None, starts_at__gte=start, starts_at__lt=end)
    for booking in bookings.select_related("site", "driver", "job__vehicle", "job__owner"):
        yield Arrival(
            at=booking.starts_at,
            clock=f"{booking.local_start:%H:%M} to {booking.local_end:%H:%M} {booking.local_end:%Z}",
            what=f"test at {booking.site}, driver {booking.driver}",
            job=booking.job,
        )
