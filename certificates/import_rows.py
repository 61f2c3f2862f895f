"""Reading one line of a CSV of past certificates: what it says, or everything that is wrong with it."""

import re
from datetime import date

from django.utils import timezone

from certificates import outcomes, terms
from vehicles.forms import clean_identity
from vehicles.models import PLATE_STATES
from vehicles.signs import hidden

COLUMNS = (
    *("number", "issued_on", "vehicle", "plate", "vin", "owner", "engineer", "jurisdiction", "outcome"),
    *("modifications", "wind_mps", "speed_kmh", "pdf"),
)
REQUIRED = ("number", "issued_on", "owner")
_LONGEST = {"number": 60, "vehicle": 120, "owner": 120, "engineer": 160, "plate": 10, "vin": 17}
_JURISDICTIONS = [code for code, _ in PLATE_STATES]
_OUTCOMES = [one.code for one in outcomes.ALL]
_HIGHEST = {"wind_mps": 50, "speed_kmh": 300}
_FIRST_DAY = date(1970, 1, 1)
# Python reads 1_0 as ten and a full-width digit as a digit; nobody else does.
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?|nan|inf", re.ASCII)


class Wrong(Exception):
    """Everything that is wrong with one line, each with field, value and what is allowed."""

    def __init__(self, faults):
        self.faults = tuple(faults)
        super().__init__("; ".join(self.faults))


def read(row):
    """The line as a record. Raises Wrong with every fault at once."""
    if surplus := row.get(None):
        # Shifted by one, a name may stand where a plate belongs: nothing of the line can be trusted.
        raise Wrong([f"it has more fields than the heading, from “{str(surplus[0])[:40]}” on; allowed is one for each"])
    given = {name: (row.get(name) or "").strip() for name in COLUMNS}
    given |= {name: clean_identity(given[name]) for name in ("plate", "vin")}
    faults = [*_missing(given), *_words(given), *_choices(given)]
    record = {name: given[name] for name in (*_LONGEST, "jurisdiction", "outcome", "pdf")}
    record["issued_on"] = _attempt(_day, given["issued_on"], faults)
    record["modifications"] = [part.strip() for part in given["modifications"].split(";") if part.strip()]
    for name, high in _HIGHEST.items():
        record[name] = _attempt(lambda text, name=name, high=high: _number(name, text, high), given[name], faults)
    if faults:
        raise Wrong(faults)
    return record


def _attempt(reads, text, faults):
    try:
        return reads(text)
    except ValueError as fault:
        faults.append(str(fault))
        return None


def _missing(given):
    for name in REQUIRED:
        if not given[name]:
            yield f"{name} is empty; it is needed"
    if not given["plate"] and not given["vin"]:
        yield "plate and vin are both empty; one of them is needed"


def _words(given):
    for name, longest in _LONGEST.items():
        if len(given[name]) > longest:
            yield f"{name} has {len(given[name])} characters; allowed are {longest}"
    for name, text in given.items():
        if sign := hidden(text):
            yield f"{name} holds a sign that cannot be seen, {sign}; allowed is text on one line"
    if given["number"] and not terms.compact(given["number"]):
        yield f"number “{given['number']}” has no letter and no digit; it needs one to be found by"
    if given["vin"] and not re.fullmatch(r"[A-Z0-9]+", given["vin"]):
        yield f"vin “{given['vin']}” has other signs than letters and digits"


def _choices(given):
    for name, allowed in (("jurisdiction", _JURISDICTIONS), ("outcome", _OUTCOMES)):
        if given[name] and given[name] not in allowed:
            yield f"{name} “{given[name]}” is not known; allowed are {', '.join(allowed)} or nothing"


def _day(text):
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"issued_on “{text}” is no date; allowed is a day such as 2019-03-04") from None
    if not _FIRST_DAY <= day <= timezone.localdate():
        raise ValueError(f"issued_on {text} is out of range; allowed is {_FIRST_DAY} to today")
    return day.isoformat()


def _number(name, text, high):
    if not text:
        return None
    try:
        value = float(text if _NUMBER.fullmatch(text) else "")
    except ValueError:
        raise ValueError(f"{name} “{text}” is no number; allowed is 0 to {high}") from None
    if not 0 <= value <= high:
        raise ValueError(f"{name} {text} is out of range; allowed is 0 to {high}")
    return value
