"""Which bookings may not happen, as far as it is known now. Marked on the booking, looked at again and again."""

from datetime import datetime, timedelta

from django.utils import timezone

from jobs import lines
from testing.models import Booking
from vehicles.calculations.verdict import NOT_MET

AHEAD = timedelta(days=14)


def look_at(*, site=None, now: datetime | None = None):
    """Mark the standing bookings of a site, or of all, that a condition speaks against. Gives those newly at risk."""
    from testing.scheduling.conditions import conditions

    now = now or timezone.now()
    bookings = Booking.objects.standing().filter(ends_at__gt=now, starts_at__lt=now + AHEAD)
    bookings = bookings.select_related("site", "driver__user", "job__vehicle", "job__owner")
    turned = []
    for booking in bookings.filter(site=site) if site else bookings:
        against = [f"{c.title}: {c.text}" for c in conditions(booking.job) if c.verdict == NOT_MET]
        risk = " ".join(against)[:300]
        if risk == booking.risk:
            continue
        if risk and not booking.risk:
            booking.at_risk_since = now
            turned.append(booking)
        booking.risk, booking.at_risk_since = risk, booking.at_risk_since if risk else None
        booking.save(update_fields=["risk", "at_risk_since"])
        lines.touched(booking.job)
    return turned
