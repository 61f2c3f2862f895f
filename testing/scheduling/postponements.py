"""What postponements cost: those that happened, and those that the weather of the site makes likely."""

from django.utils import timezone

from testing.scheduling import climate
from testing.scheduling.conditions import weather_of
from testing.scheduling.locking import standing_booking
from vehicles.calculations import climatology
from vehicles.calculations.estimate import BOOKINGS, POSTPONED


def paid_again(job):
    """Mornings called off so far for which a part of the price was paid."""
    return min(job.bookings.filter(paid_again=True).count(), int(POSTPONED.high))


def bookings_expected(job):
    """Bookings from now on until the test is driven; None when only the price book's usual number is known.

    It is the mean number of bookings at this site, month and hour as its past has it. A booking that has begun, or
    that the forecast promises, needs no other.
    """
    booking = standing_booking(job)
    ahead = booking and _ahead(booking)
    return None if ahead is None else min(ahead, BOOKINGS.high)


def _ahead(booking):
    if booking.starts_at <= timezone.now() or weather_of(booking.job, booking).met:
        return 1.0
    hours = (booking.ends_at - booking.starts_at).total_seconds() / 3600
    known = climate.chance(climate.counted(hours, [booking.site]).get(booking.site_id), booking.local_start)
    return climatology.bookings_expected(chance=known[0]) if known and known[0] else None
