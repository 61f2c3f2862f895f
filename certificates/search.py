"""Finding lines of the register. Pages are cut by place, so that the last one is as quick as the first."""

from dataclasses import dataclass
from datetime import timedelta

from certificates import terms
from certificates.lines import first_place
from certificates.models import RegisterKey, RegisterLine

PER_PAGE = 50
_EXACT = ("jurisdiction", "outcome", "state")
_RANGES = {
    "wind_from": "wind_mps__gte",
    "wind_to": "wind_mps__lte",
    "speed_from": "speed_kmh__gte",
    "speed_to": "speed_kmh__lte",
}


@dataclass(frozen=True, kw_only=True)
class Page:
    """Some lines, newest first; where the pages beside it begin, or None where there is none."""

    lines: list
    newer_than: int | None
    older_than: int | None


def find(criteria):
    """The lines that fit every criterion; criteria that are empty or unknown ask for nothing."""
    found = RegisterLine.objects.all()
    for name in _EXACT:
        if value := criteria.get(name):
            found = found.filter(**{name: value})
    for name, lookup in _RANGES.items():
        if (value := criteria.get(name)) is not None:
            found = found.filter(**{lookup: value})
    if day := criteria.get("issued_from"):
        found = found.filter(place__gte=first_place(day))
    if day := criteria.get("issued_to"):
        found = found.filter(place__lt=first_place(day + timedelta(days=1)))
    return _by_words(found, criteria)


def _by_words(found, criteria):
    for kind, name in ((terms.NUMBER, "number"), (terms.PLATE, "plate"), (terms.VIN, "vin")):
        if typed := criteria.get(name):
            found = _begin(found, [kind], terms.compact(typed))
    for word in terms.words(criteria.get("owner") or ""):
        found = _begin(found, [terms.OWNER], word)
    for word in _typed(criteria.get("q") or ""):
        found = _begin(found, terms.TYPED, word)
    for word in terms.words(criteria.get("engineer") or ""):
        found = found.filter(keys__kind=terms.ENGINEER, keys__key=word)
    if code := terms.compact(criteria.get("modification") or ""):
        found = found.filter(keys__kind=terms.MODIFICATION, keys__key=code)
    return found


def _typed(text):
    # Numbers and plates are typed with hyphens; in between, words are told apart by spaces alone.
    return [terms.compact(part) or "\N{REPLACEMENT CHARACTER}" for part in text.split()]


def _begin(found, kinds, word):
    if not word.isalnum():
        return found.none()
    keys = RegisterKey.objects.filter(key__begins=word)
    keys = keys.filter(kind=kinds[0]) if len(kinds) == 1 else keys.filter(kind__in=kinds)
    # A set and no join: a line that fits by two of its words is one line.
    return found.filter(place__in=keys.values("line_id"))


def page(criteria, *, older_than=None, newer_than=None, oldest=False, size=PER_PAGE):
    """The page that begins there; without a beginning the newest, or the oldest if asked for."""
    found = find(criteria)
    backwards = oldest or newer_than is not None
    if older_than is not None:
        found = found.filter(place__lt=older_than)
    if newer_than is not None:
        found = found.filter(place__gt=newer_than)
    lines = list(found.order_by("place" if backwards else "-place")[: size + 1])
    more, lines = len(lines) > size, lines[:size]
    if backwards:
        lines.reverse()
    if not lines:
        return Page(lines=[], newer_than=None, older_than=None)
    newer = lines[0].place if (more if backwards else older_than is not None) else None
    older = lines[-1].place if (not oldest if backwards else more) else None
    return Page(lines=lines, newer_than=newer, older_than=older)


def all_lines(criteria, *, batch=1000):
    """Every line that fits, newest first, a batch in memory at a time and no lock held in between."""
    older_than = None
    while True:
        some = page(criteria, older_than=older_than, size=batch)
        yield from some.lines
        if some.older_than is None:
            return
        older_than = some.older_than
