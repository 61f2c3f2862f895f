"""A record laid open part by part, whatever it holds: a part that nobody wrote a page for is shown all the same."""

import re
from dataclasses import dataclass

from certificates.templatetags.record import day, moment

# Longer rows of plain values are series of samples, which no eye reads.
_LONGEST_ROW = 24
_UNITS = {
    "kg": "kg", "kmh": "km/h", "mps": "m/s", "mps2": "m/s²", "mm": "mm", "m": "m", "m2": "m²", "deg": "°", "g": "g",
    "aud": "AUD", "n": "N", "l": "L",
}  # fmt: skip
# Shown in words of their own on the same page.
_ELSEWHERE = {"outcome", "owner", "words", "limits"}
# Long, and asked for seldom: folded up until somebody opens them.
_FOLDED = {"work_up", "runs", "triage", "trail", "logs", "rules"}
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?\+\d{2}:\d{2}")
_TITLES = {"test_days": "Test days", "work_up": "Work-up", "sha256": "SHA-256", "vin": "VIN"}


@dataclass(frozen=True, kw_only=True)
class Part:
    """A title with a text, or with parts of its own."""

    title: str
    text: str = ""
    parts: tuple = ()
    folded: bool = False


def parts_of(record):
    """Every part of the record that the page does not say in words of its own."""
    if not isinstance(record, dict):
        return [_part("record", record)]
    return [_part(name, value) for name, value in record.items() if name not in _ELSEWHERE]


def _part(name, value):
    title, unit = _called(name)
    folded = name in _FOLDED
    if isinstance(value, dict):
        return Part(title=title, parts=tuple(_part(key, inner) for key, inner in value.items()), folded=folded)
    if isinstance(value, list) and any(isinstance(one, dict | list) for one in value):
        return Part(title=title, parts=tuple(_numbered(value)), folded=folded)
    return Part(title=title, text=_row(value, unit) if isinstance(value, list) else _said(value, unit), folded=folded)


def _numbered(rows):
    for number, row in enumerate(rows, start=1):
        title = str(row.get("title") or row.get("number") or number) if isinstance(row, dict) else str(number)
        yield Part(title=title, parts=_part(title, row).parts) if isinstance(row, dict) else _part(str(number), row)


def _called(name):
    """What a name of the record is called, and the unit it ends in."""
    words, _, last = name.rpartition("_")
    if words and last in _UNITS:
        return _title(words), _UNITS[last]
    return _title(name), ""


def _title(name):
    return _TITLES.get(name) or name.replace("_", " ").capitalize()


def _row(values, unit):
    if len(values) > _LONGEST_ROW:
        return f"{len(values)} values, the whole of them in record.json of the evidence pack"
    return ", ".join(_said(value, unit) for value in values) or "none"


def _said(value, unit):
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value in (None, ""):
        return "not recorded"
    if isinstance(value, int | float):
        # Years and numbers of entries are no quantities.
        return f"{value:,.10g}\N{NO-BREAK SPACE}{unit}" if unit else f"{value:.10g}"
    return f"{value}\N{NO-BREAK SPACE}{unit}" if unit else _dated(str(value))


def _dated(text):
    """A day or a moment as people write it; record.json of the evidence pack has it as it was sealed."""
    try:
        if _MOMENT.fullmatch(text):
            return moment(text)
        return day(text) if _DAY.fullmatch(text) else text
    except ValueError:
        # It looks like a day and is none: somebody's words.
        return text
