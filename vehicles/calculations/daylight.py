"""Sunrise and sunset at a place, so that a window is not looked for in the dark."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from math import acos, asin, atan2, cos, degrees, radians, sin

from .errors import CalculationError
from .ranges import Range

LATITUDE = Range(name="latitude_deg", label="Latitude", low=-90, high=90, unit="°")
LONGITUDE = Range(name="longitude_deg", label="Longitude", low=-180, high=180, unit="°")
EPOCH = datetime(2000, 1, 1, 12, tzinfo=UTC)
# Upper limb on the horizon with mean refraction: 34' of refraction and 16' of radius.
HORIZON_DEG = -50 / 60


@dataclass(frozen=True, kw_only=True)
class Daylight:
    """Sunrise and sunset of one day, in UTC."""

    sunrise: datetime
    sunset: datetime

    def covers(self, start: datetime, end: datetime) -> bool:
        """Whether the sun is up from start to end, times with their zone."""
        return self.sunrise <= start and end <= self.sunset


def daylight(*, latitude_deg: float, longitude_deg: float, day: date) -> Daylight:
    """Sunrise and sunset: cos ω = (sin h − sin φ sin δ) / (cos φ cos δ), h = −50'.

    Parameters
    ----------
    latitude_deg, longitude_deg : place, north and east positive [°]
    day : the calendar day at the place

    Returns
    -------
    Daylight [UTC], to about a minute.

    Raises
    ------
    CalculationError : a place off the globe, or a day on which the sun does not rise or set there.

    Notes
    -----
    Level horizon, mean refraction; hills and trees are seen at the site. The sun's place is the
    low-precision series, good to 0.01° from 1950 to 2050.

    Example
    -------
    >>> from datetime import date
    >>> daylight(latitude_deg=0, longitude_deg=0, day=date(2026, 3, 20)).sunrise.hour
    6

    Source: low-precision solar coordinates of the Astronomical Almanac.
    """
    LATITUDE.check(latitude_deg)
    LONGITUDE.check(longitude_deg)
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC) - timedelta(hours=longitude_deg / 15)

    def event(side: int) -> datetime:
        at = noon
        for _ in range(3):
            declination, equation_min = _sun(at)
            arc = _half_day(latitude_deg, declination, day)
            at = noon + timedelta(minutes=4 * side * arc - equation_min)
        return at

    return Daylight(sunrise=event(-1), sunset=event(1))


def _sun(at: datetime) -> tuple[float, float]:
    """Declination [rad] and equation of time [min]."""
    days = (at - EPOCH) / timedelta(days=1)
    mean_longitude = (280.460 + 0.9856474 * days) % 360
    anomaly = radians((357.528 + 0.9856003 * days) % 360)
    longitude = radians(mean_longitude + 1.915 * sin(anomaly) + 0.020 * sin(2 * anomaly))
    tilt = radians(23.439 - 0.0000004 * days)
    ascension = degrees(atan2(cos(tilt) * sin(longitude), cos(longitude)))
    apart = (mean_longitude - ascension + 180) % 360 - 180
    return asin(sin(tilt) * sin(longitude)), 4 * apart


def _half_day(latitude_deg: float, declination: float, day: date) -> float:
    latitude = radians(latitude_deg)
    reach = sin(radians(HORIZON_DEG)) - sin(latitude) * sin(declination)
    span = cos(latitude) * cos(declination)
    if abs(reach) > span:
        raise CalculationError(
            quantity="latitude_deg",
            value=f"{latitude_deg:g}",
            allowed=f"the latitudes where the sun rises and sets on {day.isoformat()}",
        )
    return degrees(acos(reach / span))
