"""Bookings as iCalendar (RFC 5545): one event for each job, which a move changes and a cancellation closes."""

from datetime import UTC

from icalendar import Calendar, Event

MAKER = "-//Job book//Test days//EN"
CANCELLED, CONFIRMED, TENTATIVE = "CANCELLED", "CONFIRMED", "TENTATIVE"
CONTENT_TYPE = "text/calendar; charset=utf-8"


def calendar_of(bookings, *, name, method="PUBLISH"):
    """The bytes of a calendar with these bookings, times in the zone of each site."""
    calendar = Calendar()
    calendar.add("prodid", MAKER)
    calendar.add("version", "2.0")
    calendar.add("method", method)
    calendar.add("x-wr-calname", name)
    for booking in bookings:
        calendar.add_component(_event(booking))
    # The rules of each zone travel with the times, so that no reader has to guess them.
    calendar.add_missing_timezones()
    return calendar.to_ical()


def _event(booking):
    event = Event()
    # One identity for the test of a job: a moved booking moves in everybody's calendar.
    event.add("uid", f"{booking.job.number}-test@job-book")
    event.add("sequence", _sequence(booking))
    event.add("dtstamp", (booking.cancelled_at or booking.booked_at).astimezone(UTC))
    event.add("dtstart", booking.local_start)
    event.add("dtend", booking.local_end)
    event.add("summary", f"Lane-change test {booking.job.number}")
    event.add("location", ", ".join(filter(None, (booking.site.name, booking.site.place))))
    event.add("description", f"{booking.job.vehicle}. Driver: {booking.driver}. Wind or rain can move it.")
    event.add("status", _status(booking))
    event.add("transp", "TRANSPARENT" if booking.cancelled_at else "OPAQUE")
    return event


def _status(booking):
    if booking.cancelled_at:
        return CANCELLED
    return TENTATIVE if booking.held_until else CONFIRMED


def _sequence(booking):
    """Grows with every act on the bookings of the job: made, confirmed or not, given up."""
    earlier = getattr(booking, "earlier", None)
    if earlier is None:
        earlier = booking.job.bookings.filter(pk__lt=booking.pk).count()
    return 3 * earlier + {TENTATIVE: 0, CONFIRMED: 1, CANCELLED: 2}[_status(booking)]
