"""A forecast service asked over HTTP: hourly lists in JSON. Off unless settings.FORECAST_URL has an address.

The answer: {"hourly": {"time": [...], "wind_speed_10m": [...], "wind_gusts_10m": [...], "precipitation": [...]},
"hourly_units": {"wind_speed_10m": "m/s", ...}, "utc_offset_seconds": 0}. Times without an offset are those of
"utc_offset_seconds", or UTC.

What a time stands for, in the documentation of the open service whose answers have this shape: "wind_speed_10m" is of
the moment, "precipitation" the sum and "wind_gusts_10m" the strongest of the hour BEFORE the time (Open-Meteo, Weather
Forecast API, table "Hourly Parameter Definition", columns "Valid time" and "Description"). Our hours begin at their
time, so rain and gust of an hour are those stamped with its end, and its wind is the stronger of both its ends.
"""

import json
import time
import urllib.error
import urllib.request
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

from django.conf import settings

from testing.scheduling import readings
from testing.scheduling.local_times import TimeRefused, read_time
from testing.scheduling.records import Reading
from vehicles.calculations.errors import CalculationError

LARGEST_BYTES = 2_000_000
TRIES = 3
PAUSE_S = 1.0
MOST_HOURS = 1_000
HOUR = timedelta(hours=1)
NAMES = {
    "wind": ("wind_speed_10m", "windspeed_10m", "wind_speed"),
    "gust": ("wind_gusts_10m", "windgusts_10m", "wind_gusts"),
    "rain": ("precipitation", "rain"),
}
UNIT_WORDS = {"m/s": "m/s", "ms": "m/s", "km/h": "km/h", "kmh": "km/h", "kn": "kn", "mp/h": "mph", "mph": "mph"}
RAIN_WORDS = {"mm": "mm", "inch": "in", "in": "in"}


class NoForecast(Exception):
    """The service gave nothing usable; the text says why."""


def is_on():
    return bool(settings.FORECAST_URL)


def ask(site, *, pause_s=PAUSE_S):
    """Hours of the service for a site. Raises NoForecast. What may pass by itself is tried again."""
    url = address(site)
    problem = ""
    for attempt in range(TRIES):
        if attempt:
            time.sleep(pause_s * attempt)
        try:
            return parse(_get(url), zone=site.zone)
        except (urllib.error.URLError, OSError) as error:
            problem = _said(error)
            if isinstance(error, urllib.error.HTTPError) and error.code < 500:
                break
    raise NoForecast(problem)


def address(site):
    """The address to ask. Raises NoForecast when the site's place is not known, or the setting is unusable."""
    if not site.located:
        raise NoForecast("latitude and longitude of the site are not recorded")
    try:
        url = settings.FORECAST_URL.format(latitude=f"{site.latitude_deg:.4f}", longitude=f"{site.longitude_deg:.4f}")
    except (KeyError, IndexError, ValueError) as error:
        raise NoForecast("the address in the settings takes {latitude} and {longitude} and nothing else") from error
    if not url.startswith(("http://", "https://")):
        raise NoForecast("the address in the settings does not begin with http:// or https://")
    return url


def _get(url):
    """The body of the answer. The time limit holds for the whole of it, not only for each piece."""
    deadline = time.monotonic() + settings.FORECAST_TIMEOUT_S
    request = urllib.request.Request(url, headers={"Accept": "application/json"})  # noqa: S310  checked in address()
    with urllib.request.urlopen(request, timeout=settings.FORECAST_TIMEOUT_S) as answer:  # noqa: S310
        body = bytearray()
        while piece := answer.read1(65_536):
            body += piece
            if len(body) > LARGEST_BYTES:
                raise NoForecast(f"the answer is larger than {LARGEST_BYTES:,} bytes")
            if time.monotonic() > deadline:
                raise TimeoutError
    return bytes(body)


def _said(error):
    if isinstance(error, urllib.error.HTTPError):
        return f"the service answered {error.code}"
    reason = getattr(error, "reason", error)
    if isinstance(reason, TimeoutError) or isinstance(error, TimeoutError):
        return f"no answer within {settings.FORECAST_TIMEOUT_S:g} s"
    return f"the service cannot be reached ({reason})"[:150]


def parse(body, *, zone):
    """Readings from the answer of a service. Raises NoForecast with the first thing that is wrong."""
    try:
        data = json.loads(body)
        hourly = data["hourly"]
        times = hourly["time"]
        units = data.get("hourly_units") or {}
        offset = timezone(timedelta(seconds=int(data.get("utc_offset_seconds") or 0)))
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError) as error:
        raise NoForecast("the answer is not hourly JSON as expected") from error
    if not isinstance(hourly, dict) or not isinstance(units, dict) or not isinstance(times, list):
        raise NoForecast("the answer is not hourly JSON as expected")
    if not 0 < len(times) <= MOST_HOURS:
        raise NoForecast(f"the answer has {len(times):,} hours; 1 to {MOST_HOURS:,} are taken")
    columns = {what: _column(hourly, units, what, len(times)) for what in NAMES}
    found = {}
    for number, text in enumerate(times):
        reading = _reading(number, text, columns, offset)
        local = reading.starts_at.astimezone(zone)
        if local.minute or local.second or reading.starts_at in found:
            raise NoForecast(f"hour {number + 1}: {local:%Y-%m-%d %H:%M} is not a full hour of its own in {zone}")
        found[reading.starts_at] = reading
    return [_of_the_hour(reading, found.get(reading.starts_at + HOUR)) for reading in found.values()]


def _of_the_hour(at_start, at_end):
    """What is known of an hour from what is stamped with its start and with its end; rain and gust are of the latter.

    What is stamped with the first time is of an hour whose wind the answer does not tell: it is left to the forecast
    that was kept for that hour.
    """
    if at_end is None:
        return replace(at_start, gust_mps=None, rain_mm=None)
    winds = (at_start.wind_mps, at_end.wind_mps)
    return replace(
        at_start,
        wind_mps=None if None in winds else max(winds),
        gust_mps=at_end.gust_mps,
        rain_mm=at_end.rain_mm,
    )


def _column(hourly, units, what, count):
    """Values and unit of one quantity. Wind has to be there; the unit of the wind is never guessed."""
    name = next((name for name in NAMES[what] if name in hourly), None)
    if name is None:
        if what == "wind":
            raise NoForecast(f"the answer has no {NAMES[what][0]}")
        return [None] * count, None
    values, word = hourly[name], str(units.get(name, "mm" if what == "rain" else "")).strip().lower()
    unit = (RAIN_WORDS if what == "rain" else UNIT_WORDS).get(word)
    if unit is None:
        raise NoForecast(f"{name} comes in “{word[:20]}”, which is not a unit that is known here")
    if not isinstance(values, list) or len(values) != count:
        raise NoForecast(f"{name} has not one value for each hour")
    return values, unit


def _reading(number, text, columns, offset):
    try:
        at = datetime.fromtimestamp(text, UTC) if isinstance(text, int) else read_time(str(text), offset)
        values = {what: _value(values[number], what, unit) for what, (values, unit) in columns.items()}
    except (TimeRefused, CalculationError, OverflowError, OSError, ValueError) as error:
        raise NoForecast(f"hour {number + 1}: {error}"[:180]) from error
    return Reading(starts_at=at, wind_mps=values["wind"], gust_mps=values["gust"], rain_mm=values["rain"])


def _value(value, what, unit):
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{what} is {str(value)[:20]!r}, not a number")
    row = {"wind": readings.WIND, "gust": readings.GUST, "rain": readings.RAIN}[what]
    factor = (readings.RAIN_UNITS if what == "rain" else readings.UNITS)[unit]
    return row.check(round(value * factor, 6))
