"""An edition laid out for reading, and two editions held against each other."""

from dataclasses import dataclass

from vehicles.calculations.height_limits import NAMES
from vehicles.calculations.modifications import KINDS
from vehicles.calculations.rulesets import TRUSTED_TAGS

_FAMILIES = {
    "lt2": "Lane-change test due",
    "uncertified": "Allowed without certification",
    "certified": "Can be certified",
}
_TITLES = {
    "lt2.gvm_limit_kg": "GVM above which no lane-change test applies",
    "lt2.total_rise_mm": "Lane-change test due: overall rise",
    "lt2.body_lift_mm": "Lane-change test due: body lift",
    "seat.occupant_kg": "Test mass for each seat",
    "seat.luggage_kg": "Luggage for each seat",
    "driver.minimum_kg": "Driver at least, else ballast",
    "fuel.fraction": "Fuel at test",
    "fuel.petrol_kg_per_m3": "Density of petrol",
    "fuel.diesel_kg_per_m3": "Density of diesel",
    "fuel.lpg_kg_per_m3": "Density of LPG",
    "speed.target_passenger_kmh": "Target speed of MA, MB, MC",
    "speed.target_other_kmh": "Target speed of all others",
    "speed.first_max_kmh": "First attempt at or below",
    "speed.first_max_high_lift_kmh": "First attempt at or below, high lift",
    "speed.high_lift_mm": "High lift: overall rise",
    "speed.step_kmh": "Step between speeds",
    "wind.limit_mps": "Wind at a test",
    "course.offset_m": "Offset of the course",
    "course.datum": "Datum of the offset",
    "category.goods_factor": "Goods or people: share of the load",
    "category.seat_kg": "Goods or people: mass for a seat",
    "uncertified.travel_lost_percent": "Allowed without certification: suspension travel lost",
    "uncertified.clearance_mm": "Needed without certification: clearance",
}
_SIGNS = {"more_than": "more than", "at_least": "at least"}
# Where a number says what is allowed, what is crossed by more is allowed up to it.
_ALLOWED = {**_SIGNS, "more_than": "up to"}
_ALLOWING = ("certified", "uncertified")
_LISTS = {"discretionary": "kind", "codes": "code", "evidence": "key"}
_HEAD = ("title", "source", "tag", "note")


@dataclass(frozen=True, kw_only=True)
class Number:
    """One number as an edition states it."""

    name: str
    title: str
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
            title=title_of(name),
            value=value_of(entry, name),
            source=entry.get("source", ""),
            tag=entry.get("tag", ""),
            note=entry.get("note", ""),
            trusted=entry.get("tag") in TRUSTED_TAGS,
        )


def value_of(entry, name=""):
    """A number with its relation and unit, as `more than 75 mm`; as `up to 75 mm` where it says what is allowed."""
    signs = _ALLOWED if name.partition(".")[0] in _ALLOWING else _SIGNS
    value = entry.get("value")
    shown = f"{value:,.10g}" if isinstance(value, int | float) else str(value).replace("_", " ")
    both = "±" if entry.get("both_ways") else ""
    parts = (signs.get(entry.get("comparison"), ""), f"{both}{shown}", entry.get("unit", ""))
    return " ".join(part for part in parts if part)


def title_of(name):
    """What a person calls a number of the rules; other entries keep their name."""
    if name in _TITLES:
        return _TITLES[name]
    family, _, rest = name.partition(".")
    if family not in _FAMILIES:
        return name
    return f"{_FAMILIES[family]}: {NAMES.get(rest, rest.replace('_', ' ')).lower()}"


def titles(kinds):
    """Kinds of modification by the names that people know."""
    return ", ".join("any modification" if kind == "any" else KINDS[kind].title for kind in kinds)


def differences(before, after):
    """Every entry that the two texts state differently."""
    old, new = _entries(before), _entries(after)
    for what in old | new:
        if old.get(what) != new.get(what):
            yield Difference(what=what, before=said(old.get(what), what), after=said(new.get(what), what))


def _entries(data):
    found = {name: data.get(name) for name in _HEAD}
    found |= data.get("thresholds", {})
    for part, name in _LISTS.items():
        found |= {f"{part} {entry[name]}": entry for entry in data.get(part, ())}
    return found


def said(entry, name=""):
    """An entry in one line: its value first, then what else it says."""
    if entry is None or isinstance(entry, str):
        return entry
    parts = [value_of(entry, name)] if "value" in entry else []
    for part in sorted(entry.keys() - {"value", "unit", "comparison", "both_ways"}):
        if value := entry[part]:
            shown = ", ".join(value) if isinstance(value, list) else str(value)
            parts.append(f"{part.replace('_', ' ')}: {shown}")
    return "; ".join(parts)
