"""Marks the hours of a record in which a site is open and the sun is up."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache

from .daylight import Daylight, daylight
from .errors import CalculationError
from .hours import HOUR, Hour


def with_daylight(*, hours: Sequence[Hour], latitude_deg: float, longitude_deg: float) -> tuple[Hour, ...]:
    """Hours with ``daylight`` True when the sun is up for all of the hour.

    Parameters: hours whose starts carry the site's own zone; place, north and east positive [°].
    Returns: hours in the same order. Raises CalculationError for a place off the globe, or a day
    on which the sun does not rise or set there.

    >>> from zoneinfo import ZoneInfo
    >>> early = [Hour(start=datetime(2026, 3, 2, h, tzinfo=ZoneInfo("Australia/Sydney")), wind_mps=1) for h in (6, 7)]
    >>> [hour.daylight for hour in with_daylight(hours=early, latitude_deg=-33.87, longitude_deg=151.21)]
    [False, True]

    Source: see ``daylight``.
    """

    @cache
    def of(day: date) -> Daylight:
        return daylight(latitude_deg=latitude_deg, longitude_deg=longitude_deg, day=day)

    return tuple(
        replace(hour, daylight=of(hour.start.date()).covers(hour.start, hour.start.astimezone(UTC) + HOUR))
        for hour in hours
    )


def with_site_hours(*, hours: Sequence[Hour], opens: time, closes: time) -> tuple[Hour, ...]:
    """Hours with ``site_open`` True when the site is open for all of the hour.

    Parameters: hours whose starts carry the site's own zone; opening and closing time by the
    clock of that zone, on one day [h]. Returns: hours in the same order. Raises CalculationError when
    the site closes no later than it opens.

    Notes: a time of 23:59 or later closes with the day.

    >>> from zoneinfo import ZoneInfo
    >>> early = [Hour(start=datetime(2026, 3, 2, h, tzinfo=ZoneInfo("Australia/Sydney")), wind_mps=1) for h in (6, 7)]
    >>> [hour.site_open for hour in with_site_hours(hours=early, opens=time(7), closes=time(16))]
    [False, True]

    Source: comparison.
    """
    _check(opens, closes)

    def whole(start: datetime) -> bool:
        end = (start.astimezone(UTC) + HOUR).astimezone(start.tzinfo)
        return is_open(start=start, end=end, opens=opens, closes=closes)

    return tuple(replace(hour, site_open=whole(hour.start)) for hour in hours)


def is_open(*, start: datetime, end: datetime, opens: time, closes: time) -> bool:
    """Whether a site is open from start to end.

    Parameters: start and end by the site's own clock; opening and closing time by that clock, on one
    day [h]. Returns: True when all of it lies within. Raises CalculationError when the site closes no
    later than it opens.

    Notes: a time of 23:59 or later closes with the day.

    >>> from datetime import UTC
    >>> is_open(start=datetime(2026, 3, 2, 7, 30, tzinfo=UTC), end=datetime(2026, 3, 2, 11, 30, tzinfo=UTC),
    ...         opens=time(7, 30), closes=time(16))
    True

    Source: comparison.
    """
    _check(opens, closes)
    before_close = end.date() == start.date() and end.time() <= closes
    midnight = end.time() == time(0) and end.date() == start.date() + timedelta(days=1)
    till_midnight = closes >= time(23, 59) and (midnight or end.date() == start.date())
    return start.time() >= opens and (before_close or till_midnight)


def _check(opens: time, closes: time) -> None:
    if closes <= opens:
        raise CalculationError(quantity="closes", value=f"{closes:%H:%M}", allowed=f"after {opens:%H:%M}")
