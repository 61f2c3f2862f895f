"""The forecast of a site: kept hour by hour, judged by the calculation module."""

from datetime import UTC, datetime, time, timedelta

from django.db import transaction
from django.utils import timezone

from testing.models import ForecastHour
from testing.triage.editions import NATIONAL, rule_set_for
from vehicles.calculations import weather

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
BATCH = 500


def limits_under(jurisdiction=NATIONAL):
    """Wind limit of the rules of a jurisdiction, with the drying time that planning assumes."""
    return weather.Limits(wind_mps=rule_set_for(jurisdiction).value("wind.limit_mps"))


@transaction.atomic
def store(*, site, readings, origin, by):
    """Keep all hours of a record, or none. An hour that was known already is replaced."""
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
        update_fields=["wind_mps", "gust_mps", "rain_mm", "origin", "entered_by", "entered_at"],
    )
    return len(readings)


def kept_hours(site, *, start, end, limits):
    """Rows that a judgement of this span needs: the span, and the time in which the surface dries."""
    since = start - (limits.drying_h + 1) * HOUR
    return list(site.forecast.filter(starts_at__gte=since, starts_at__lt=end))


def as_hours(rows, zone):
    """For the calculation module. Site hours are judged with the booking and not hour by hour."""
    return [
        weather.Hour(
            start=row.starts_at.astimezone(zone), wind_mps=row.wind_mps, gust_mps=row.gust_mps, rain_mm=row.rain_mm
        )
        for row in rows
    ]


def open_hours(site, day):
    """Starts of the hours of a day that touch the site's hours, right across a change of the clocks."""
    at = datetime.combine(day, time(0), tzinfo=site.zone).astimezone(UTC)
    end = datetime.combine(day + DAY, time(0), tzinfo=site.zone).astimezone(UTC)
    while at < end:
        local = at.astimezone(site.zone)
        last = (at + HOUR).astimezone(site.zone)
        if local.time() < site.closes and (last.date() != day or last.time() > site.opens):
            yield local
        at += HOUR


def strip(site, *, first_day, days, limits):
    """Day by day, every hour within the site's hours: what is forecast, the verdict, the reasons."""
    start = datetime.combine(first_day, time(0), tzinfo=site.zone)
    end = datetime.combine(first_day + days * DAY, time(0), tzinfo=site.zone)
    rows = kept_hours(site, start=start, end=end, limits=limits)
    kept = {row.starts_at: row for row in rows}
    judged = {
        hour.start.astimezone(UTC): hour for hour in weather.judge_hours(hours=as_hours(rows, site.zone), limits=limits)
    }
    for number in range(days):
        day = first_day + number * DAY
        yield day, [_line(local, kept, judged) for local in open_hours(site, day)]


def _line(local, kept, judged):
    at = local.astimezone(UTC)
    line = {"at": local, "zone": f"{local:%Z}", "row": kept.get(at)}
    if at not in kept:
        return {**line, "verdict": weather.UNKNOWN, "reasons": ("no forecast for this hour",)}
    return {**line, "verdict": judged[at].need, "reasons": judged[at].reasons}
