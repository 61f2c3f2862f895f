"""Hours of a weather record or forecast, and what an hour must keep for the test."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from .errors import CalculationError
from .ranges import Range

HOUR = timedelta(hours=1)
WIND = Range(name="wind_mps", label="Wind", low=0, high=90, unit="m/s")
GUST = Range(name="gust_mps", label="Gust", low=0, high=120, unit="m/s")
RAIN = Range(name="rain_mm", label="Rain in the hour", low=0, high=500, unit="mm")
DRYING = Range(name="drying_h", label="Drying time after rain", low=0, high=72, unit="h", whole=True)
LENGTH = Range(name="hours_needed", label="Hours needed", low=1, high=24, unit="h", whole=True)


@dataclass(frozen=True, kw_only=True)
class Hour:
    """One hour of a record or forecast from ``start``; None is not known.

    ``daylight`` and ``site_open`` are worked out by the caller; None is not known.
    """

    start: datetime
    wind_mps: float | None
    gust_mps: float | None = None
    rain_mm: float | None = None
    daylight: bool | None = True
    site_open: bool | None = True

    def __post_init__(self) -> None:
        if self.start.utcoffset() is None:
            allowed = "times with their time zone"
            raise CalculationError(quantity="start", value=self.start.isoformat(), allowed=allowed)
        for limits, value in ((WIND, self.wind_mps), (GUST, self.gust_mps), (RAIN, self.rain_mm)):
            if value is not None:
                limits.check(value)


@dataclass(frozen=True, kw_only=True)
class Limits:
    """What an hour must keep: wind at most, gust at most (None: not limited), dry after rain."""

    wind_mps: float = 3.0
    gust_mps: float | None = None
    drying_h: int = 3

    def __post_init__(self) -> None:
        WIND.check(self.wind_mps)
        DRYING.check(self.drying_h)
        if self.gust_mps is not None:
            GUST.check(self.gust_mps)


def by_start(hours: Sequence[Hour]) -> dict[datetime, Hour]:
    """Hours by their start in UTC: the clock of a zone repeats and skips hours, UTC does not.

    Parameters
    ----------
    hours : in any order, each with the time zone of its start [m/s, mm]

    Returns
    -------
    The same hours by the moment at which they start, in the order in which they came.

    Raises
    ------
    CalculationError : an hour that stands twice, or not whole hours after the first.

    Example
    -------
    >>> calm = Hour(start=datetime.fromisoformat("2026-03-02T08:00+11:00"), wind_mps=1.0)
    >>> [f"{at:%d %H:%M}" for at in by_start([calm])]
    ['01 21:00']

    Source: our own rule.
    """
    known: dict[datetime, Hour] = {}
    for hour in hours:
        at = hour.start.astimezone(UTC)
        if at in known:
            raise CalculationError(quantity="start", value=hour.start.isoformat(), allowed="each hour once")
        if (at - next(iter(known), at)) % HOUR:
            allowed = "whole hours after the first of the record"
            raise CalculationError(quantity="start", value=hour.start.isoformat(), allowed=allowed)
        known[at] = hour
    return known
