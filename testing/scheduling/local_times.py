"""From the clock on the wall at a site to UTC, without guessing when the clock was changed."""

import re
from datetime import UTC, datetime

YEARS = range(1990, 2101)
# Day first, as it is written in Australia; a date that could be read both ways is read so and no other.
_DAY_FIRST = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})[ T](\d{1,2}:\d{2}(:\d{2})?)", re.ASCII)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}(\.0+)?)?(Z|[+-]\d{2}:?\d{2})?", re.ASCII)


class TimeRefused(ValueError):
    """The time cannot be used; the text says why."""


def to_utc(naive, zone):
    """The moment at which the clocks of the zone show this. Raises TimeRefused when none or two do."""
    if naive.year not in YEARS:
        raise TimeRefused(f"the year {naive.year} is outside {YEARS[0]} to {YEARS[-1]}")
    first, second = (naive.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    if first == second:
        return first
    shown = f"{naive:%H:%M} on {naive.day} {naive:%b %Y}"
    if first.astimezone(zone).replace(tzinfo=None) == naive:
        offsets = " or ".join(_offset(moment, zone) for moment in (first, second))
        raise TimeRefused(f"{shown} happens twice in {zone} as daylight saving ends; state the offset, {offsets}")
    raise TimeRefused(f"{shown} does not exist in {zone}: the clocks go forward over it")


def _offset(moment, zone):
    text = f"{moment.astimezone(zone):%z}"
    return f"{text[:3]}:{text[3:]}"


def read_time(text, zone):
    """An ISO time with or without offset; without one it is the site's own time. Returns UTC."""
    text = text.strip()
    try:
        moment = datetime.fromisoformat(text) if _ISO.fullmatch(text) else None
    except ValueError:
        moment = None
    if moment is None:
        raise TimeRefused(f"time “{text[:40]}” cannot be read; allowed: 2026-12-03T06:00 or 2026-12-03T06:00+11:00")
    if moment.tzinfo is None:
        return to_utc(moment, zone)
    if moment.year not in YEARS:
        raise TimeRefused(f"the year {moment.year} is outside {YEARS[0]} to {YEARS[-1]}")
    return moment.astimezone(UTC)


def read_day_first(text, zone):
    """As `read_time`, for 03/12/2026 06:00."""
    match = _DAY_FIRST.fullmatch(text.strip())
    if match is None:
        raise TimeRefused(f"time “{text.strip()[:40]}” cannot be read; allowed: 03/12/2026 06:00, the day first")
    day, month, year, clock = match[1], match[2], match[3], match[4]
    return read_time(f"{year}-{int(month):02d}-{int(day):02d}T{clock.zfill(len(clock) + (clock[1] == ':'))}", zone)
