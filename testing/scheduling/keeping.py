"""A forecast that comes in: kept hour by hour, and the bookings it bears on looked at."""

from django.db import transaction
from django.utils import timezone

from jobs import lines
from testing.models import Booking, ForecastHour
from testing.scheduling import risk
from testing.scheduling.forecast import MEASURED

BATCH = 500


@transaction.atomic
def store(*, site, readings, origin, by):
    """Keep all hours of a forecast, or none. An hour that was known already is replaced; bookings are looked at."""
    now = timezone.now()
    ForecastHour.objects.bulk_create(
        [
            ForecastHour(
                site=site,
                starts_at=reading.starts_at,
                wind_mps=reading.wind_mps,
                gust_mps=reading.gust_mps,
                rain_mm=reading.rain_mm,
                origin=origin,
                entered_by=by,
                entered_at=now,
            )
            for reading in readings
        ],
        batch_size=BATCH,
        update_conflicts=True,
        unique_fields=["site", "starts_at"],
        update_fields=[*MEASURED, "origin", "entered_by", "entered_at"],
    )
    risk.look_at(site=site)
    # The job book says who waits for weather: every job booked here is looked at again.
    lines.touched_all(Booking.objects.standing().filter(site=site, ends_at__gt=now).values("job"))
    return len(readings)
