"""The forecast of a site: kept hour by hour, judged by the calculation module."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

from django.utils import timezone

from testing.models import ForecastHour
from testing.scheduling import sky
from testing.scheduling.habits import habits
from testing.triage.editions import NATIONAL, rule_set_for
from vehicles.calculations import weather, weather_working

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
MEASURED = ["wind_mps", "gust_mps", "rain_mm"]


def limits_under(jurisdiction=NATIONAL):
    """Wind limit of the rules of a jurisdiction, with the drying time that planning assumes."""
    return weather.Limits(wind_mps=rule_set_for(jurisdiction).value("wind.limit_mps"))


def kept_hours(site, *, start, end, limits):
    """Rows that a judgement of this span needs: the span, and the time in which the surface dries."""
    since = start - (limits.drying_h + 1) * HOUR
    return list(site.forecast.filter(starts_at__gte=since, starts_at__lt=end))


def kept_hours_of(sites, *, first_day, days, limits):
    """The same for every site over whole days on its own clock, from one query: id of the site → its rows."""
    spans = {}
    for site in sites:
        start = datetime.combine(first_day, time(0), tzinfo=site.zone)
        spans[site.pk] = (start - (limits.drying_h + 1) * HOUR, start + days * DAY)
    rows = {pk: [] for pk in spans}
    if spans:
        since, until = min(since for since, _ in spans.values()), max(end for _, end in spans.values())
        for row in ForecastHour.objects.filter(site__in=spans, starts_at__gte=since, starts_at__lt=until):
            first, end = spans[row.site_id]
            if first <= row.starts_at < end:
                rows[row.site_id].append(row)
    return rows


def is_stale(entered_at, now=None):
    """Whether a forecast is too old to decide by."""
    return (now or timezone.now()) - entered_at > timedelta(hours=habits()["forecast"]["stale_h"])


@dataclass(frozen=True, kw_only=True)
class Line:
    """One hour of a day as the strip shows it."""

    at: datetime
    zone: str
    row: object
    verdict: str
    reasons: tuple[str, ...]
    usable: bool


@dataclass(frozen=True, kw_only=True)
class Day:
    """One day at a site, hour by hour, with the windows that work."""

    day: object
    lines: tuple[Line, ...]
    windows: tuple[weather.Window, ...]
    light: tuple[datetime, datetime] | None

    @property
    def known(self):
        return any(line.row for line in self.lines if line.usable)

    @property
    def usable(self):
        return [line for line in self.lines if line.usable]

    def workings(self, site, limits):
        """How its light and its windows came about, for the screen."""
        if self.light:
            place = {"latitude_deg": site.latitude_deg, "longitude_deg": site.longitude_deg}
            yield weather_working.light_working(day=self.day, light=self.light, **place)
        for window in self.windows:
            yield weather_working.window_working(window=window, limits=limits, light=self.light)

    @property
    def best(self):
        return weather.ranked(self.windows)[0] if self.windows else None


def _hours_of(site, day):
    """Starts of the hours of a day, right across a change of the clocks."""
    at = datetime.combine(day, time(0), tzinfo=site.zone).astimezone(UTC)
    end = datetime.combine(day + DAY, time(0), tzinfo=site.zone).astimezone(UTC)
    while at < end:
        yield at.astimezone(site.zone)
        at += HOUR


def strip(site, *, first_day, days, limits, rows=None):
    """Day by day, every hour: what is forecast, the verdict, the reasons, and the windows that work."""
    start = datetime.combine(first_day, time(0), tzinfo=site.zone)
    end = datetime.combine(first_day + days * DAY, time(0), tzinfo=site.zone)
    rows = kept_hours(site, start=start, end=end, limits=limits) if rows is None else rows
    kept = {row.starts_at: row for row in rows}
    hours = sky.usable(sky.as_hours(rows, site.zone), site)
    judged = {hour.start.astimezone(UTC): hour for hour in weather.judge_hours(hours=hours, limits=limits)}
    windows = defaultdict(list)
    for window in weather.windows(hours=hours, limits=limits, hours_needed=1):
        windows[window.start.date()].append(window)
    for number in range(days):
        day = first_day + number * DAY
        blank = [weather.Hour(start=local, wind_mps=None) for local in _hours_of(site, day)]
        yield Day(
            day=day,
            lines=tuple(_line(hour, kept, judged) for hour in sky.usable(blank, site)),
            windows=tuple(windows[day]),
            light=sky.light(site, day),
        )


def _line(hour, kept, judged):
    at = hour.start.astimezone(UTC)
    usable = hour.site_open and hour.daylight
    verdict, reasons = weather.UNKNOWN, ("no forecast for this hour",)
    if not usable:
        verdict = weather.NOT_MET
        reasons = ("the site is closed",) if not hour.site_open else ("no daylight",)
    if at in judged:
        verdict, reasons = judged[at].need, judged[at].reasons
    return Line(
        at=hour.start, zone=f"{hour.start:%Z}", row=kept.get(at), verdict=verdict, reasons=reasons, usable=bool(usable)
    )
