"""Marks the hours of a record in which a site is open and the sun is up."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time
from functools import cache

from .daylight import Daylight, daylight
from .errors import CalculationError
from .hours import HOUR, Hour


def with_daylight(*, hours: Sequence[Hour], latitude_deg: float, longitude_deg: float) -> tuple[Hour, ...]:
    """Hours with ``daylight`` True when the sun is up for all of the hour.

    Parameters: hours whose starts carry the site's own zone; place, north and east positive [°].
    Returns: hours in the same order. Raises CalculationError for a place off the globe, or a day
    on which the sun does not rise or set there.

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
    clock of that zone, on one day. Returns: hours in the same order. Raises CalculationError when
    the site closes no later than it opens.

    Notes: a time of 23:59 or later closes with the day.
    """
    if closes <= opens:
        raise CalculationError(quantity="closes", value=f"{closes:%H:%M}", allowed=f"after {opens:%H:%M}")
    till_midnight = closes >= time(23, 59)

    def is_open(start: datetime) -> bool:
        end = (start.astimezone(UTC) + HOUR).astimezone(start.tzinfo)
        before_close = end.date() == start.date() and end.time() <= closes
        return start.time() >= opens and (before_close or till_midnight)

    return tuple(replace(hour, site_open=is_open(hour.start)) for hour in hours)
