"""Daylight at a site, as far as it is known where the site lies."""

from datetime import UTC

from vehicles.calculations.daylight import daylight
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.usable_hours import with_daylight, with_site_hours
from vehicles.calculations.verdict import MET, NOT_MET
from vehicles.calculations.weather import Hour


def as_hours(rows, zone):
    """For the calculation module, without daylight and site hours."""
    return [
        Hour(start=row.starts_at.astimezone(zone), wind_mps=row.wind_mps, gust_mps=row.gust_mps, rain_mm=row.rain_mm)
        for row in rows
    ]


def usable(hours, site):
    """The hours marked with daylight and site hours. Where the place is not known, daylight is not judged."""
    hours = with_site_hours(hours=hours, opens=site.opens, closes=site.closes)
    if site.located:
        hours = with_daylight(hours=hours, latitude_deg=site.latitude_deg, longitude_deg=site.longitude_deg)
    return hours


def light(site, day):
    """Sunrise and sunset of a day on the site's clock, or None when it is not known where the site lies."""
    if not site.located:
        return None
    try:
        sun = daylight(latitude_deg=site.latitude_deg, longitude_deg=site.longitude_deg, day=day)
    except CalculationError:
        return None
    return sun.sunrise.astimezone(site.zone), sun.sunset.astimezone(site.zone)


def verdict(site, start, end):
    """Whether the sun is up from start to end; None when it is not known where the site lies."""
    sun = light(site, start.date())
    if sun is None:
        return None, ""
    sunrise, sunset = sun
    up = sunrise <= start.astimezone(UTC) and end.astimezone(UTC) <= sunset
    text = f"The sun is up from {sunrise:%H:%M} to {sunset:%H:%M}."
    return (MET if up else NOT_MET), text
