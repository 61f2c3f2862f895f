"""The coming days of every site at once, for the page of the planner."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, time

from testing.models import ForecastHour, Site
from testing.scheduling import sky
from testing.scheduling.forecast import DAY, HOUR, MEASURED
from vehicles.calculations import weather


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """One day at a site in a word: its windows, and whether anything is known of it."""

    day: object
    windows: tuple[weather.Window, ...]
    known: bool

    @property
    def best(self):
        return weather.ranked(self.windows)[0] if self.windows else None


def overview(*, first_day, days, limits):
    """The coming days of every site, from two queries; hours that no window can use are not looked at."""
    sites = list(Site.objects.all())
    last_day = first_day + days * DAY
    starts = [datetime.combine(first_day, time(0), tzinfo=site.zone) for site in sites]
    ends = [datetime.combine(last_day, time(0), tzinfo=site.zone) for site in sites]
    rows = defaultdict(list)
    if sites:
        since = min(starts) - (limits.drying_h + 1) * HOUR
        found = ForecastHour.objects.filter(starts_at__gte=since, starts_at__lt=max(ends))
        for site_id, *row in found.values_list("site_id", "starts_at", *MEASURED).iterator(chunk_size=5_000):
            rows[site_id].append(row)
    for site in sites:
        yield site, list(_outlooks(site, rows[site.pk], first_day=first_day, days=days, limits=limits))


def _outlooks(site, rows, *, first_day, days, limits):
    zone, dries = site.zone, time(max(0, site.opens.hour - limits.drying_h))
    hours = []
    for starts_at, wind, gust, rain in rows:
        local = starts_at.astimezone(zone)
        if dries <= local.time() < site.closes:
            hours.append(weather.Hour(start=local, wind_mps=wind, gust_mps=gust, rain_mm=rain))
    windows = defaultdict(list)
    for window in weather.windows(hours=sky.usable(hours, site), limits=limits, hours_needed=1):
        windows[window.start.date()].append(window)
    known = {hour.start.date() for hour in hours if hour.start.time() >= site.opens}
    for number in range(days):
        day = first_day + number * DAY
        yield Outlook(day=day, windows=tuple(windows[day]), known=day in known)
