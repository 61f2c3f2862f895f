"""The past of a site, counted: how likely a workable window is, by month and start hour."""

from calendar import month_name
from dataclasses import replace
from math import ceil

from django.db import transaction
from django.db.models import Max, Min

from testing.models import Climatology, PastHour
from testing.scheduling import sky
from testing.scheduling.forecast import limits_under
from vehicles.calculations import climatology, weather_working

LENGTHS = range(1, 13)
BATCH = 1000
# Nine times in ten, as the page says.
SURETY = 0.9


@transaction.atomic
def store_past(*, site, readings):
    """Keep measured hours of the past, and count the site anew. An hour that was known is replaced."""
    PastHour.objects.bulk_create(
        [
            PastHour(
                site=site,
                starts_at=reading.starts_at,
                wind_mps=reading.wind_mps,
                gust_mps=reading.gust_mps,
                rain_mm=reading.rain_mm,
            )
            for reading in readings
        ],
        batch_size=BATCH,
        update_conflicts=True,
        unique_fields=["site", "starts_at"],
        update_fields=["wind_mps", "gust_mps", "rain_mm"],
    )
    count(site)
    return len(readings)


@transaction.atomic
def count(site):
    """Count the windows of every length anew; after the site's hours or place changed as well."""
    rows = list(site.past.all())
    if not rows:
        return
    limits = limits_under()
    record = climatology.from_hours(sky.usable(sky.as_hours(rows, site.zone), site))
    span = site.past.aggregate(first=Min("starts_at"), last=Max("starts_at"))
    for hours_needed in LENGTHS:
        found = climatology.chances(record=record, limits=limits, hours_needed=hours_needed)
        Climatology.objects.update_or_create(
            site=site,
            hours_needed=hours_needed,
            defaults={
                "wind_mps": limits.wind_mps,
                "judged": found.judged[0].tolist(),
                "workable": found.workable[0].tolist(),
                "first_at": span["first"],
                "last_at": span["last"],
            },
        )


def lengths(hours):
    """The whole hours that a booking touches, as far as they are counted."""
    return min(max(ceil(hours), LENGTHS[0]), LENGTHS[-1])


def counted(hours, sites=None):
    """Climatology of windows of that length, by site."""
    rows = Climatology.objects.filter(hours_needed=lengths(hours))
    if sites is not None:
        rows = rows.filter(site__in=sites)
    return {row.site_id: row for row in rows}


def chance(row, start):
    """Share of windows of that month and start hour that worked: (chance, how many were judged), or None."""
    if row is None:
        return None
    judged, workable = row.counts(month=start.month, hour=start.hour)
    return (workable / judged, judged) if judged else None


def best_hours(row, month):
    """Start hours of a month that worked at all, the likeliest first: (hour, chance)."""
    counts = [row.counts(month=month, hour=hour) for hour in range(24)]
    found = [(hour, workable / judged) for hour, (judged, workable) in enumerate(counts) if judged]
    return sorted(((hour, share) for hour, share in found if share), key=lambda pair: (-pair[1], pair[0]))


def months(row):
    """For each month its likeliest start hours, and how many bookings at the best make nearly sure that one works."""
    for month in range(1, 13):
        best = best_hours(row, month)[:5]
        yield month, best, climatology.bookings_to_be_sure(chance=best[0][1], surety=SURETY) if best else None


def workings(row):
    """How the chance at the likeliest start of each month came about, for the screen."""
    limits = replace(limits_under(), wind_mps=row.wind_mps)
    for month, best, _ in months(row):
        if best:
            judged, workable = row.counts(month=month, hour=best[0][0])
            yield weather_working.chance_working(
                when=f"{month_name[month]}, from {best[0][0]:02d}:00",
                hours_needed=row.hours_needed,
                judged=judged,
                workable=workable,
                limits=limits,
            )
