"""An edition laid out for reading, and two editions held against each other."""

from dataclasses import dataclass

from vehicles.calculations.modifications import KINDS
from vehicles.calculations.rulesets import TRUSTED_TAGS

_SIGNS = {"more_than": "more than", "at_least": "at least"}
_LISTS = {"discretionary": "kind", "codes": "code", "evidence": "key"}
_HEAD = ("title", "source", "tag", "note")


@dataclass(frozen=True, kw_only=True)
class Number:
    """One number as an edition states it."""

    name: str
    value: str
    source: str
    tag: str
    note: str
    trusted: bool


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One entry that two texts state differently; None where a text does not state it."""

    what: str
    before: str | None
    after: str | None


def numbers(data):
    """The numbers of an edition in its own order."""
    for name, entry in data.get("thresholds", {}).items():
        yield Number(
            name=name,
            value=value_of(entry),
            source=entry.get("source", ""),
            tag=entry.get("tag", ""),
            note=entry.get("note", ""),
            trusted=entry.get("tag") in TRUSTED_TAGS,
        )


def value_of(entry):
    """A number with its relation and unit, as `more than 75 mm`."""
    value = entry.get("value")
    shown = f"{value:,.10g}" if isinstance(value, int | float) else str(value).replace("_", " ")
    both = "±" if entry.get("both_ways") else ""
    parts = (_SIGNS.get(entry.get("comparison"), ""), f"{both}{shown}", entry.get("unit", ""))
    return " ".join(part for part in parts if part)


def titles(kinds):
    """Kinds of modification by the names that people know."""
    return ", ".join("any modification" if kind == "any" else KINDS[kind].title for kind in kinds)


def differences(before, after):
    """Every entry that the two texts state differently."""
    old, new = _entries(before), _entries(after)
    for what in old | new:
        if old.get(what) != new.get(what):
            yield Difference(what=what, before=said(old.get(what)), after=said(new.get(what)))


def _entries(data):
    found = {name: data.get(name) for name in _HEAD}
    found |= data.get("thresholds", {})
    for part, name in _LISTS.items():
        found |= {f"{part} {entry[name]}": entry for entry in data.get(part, ())}
    return found


def said(entry):
    """An entry in one line: its value first, then what else it says."""
    if entry is None or isinstance(entry, str):
        return entry
    parts = [value_of(entry)] if "value" in entry else []
    for name, value in entry.items():
        if value and name not in ("value", "unit", "comparison", "both_ways"):
            shown = ", ".join(value) if isinstance(value, list) else str(value)
            parts.append(f"{name.replace('_', ' ')}: {shown}")
    return "; ".join(parts)
