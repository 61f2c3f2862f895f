"""What changed since a triage was signed, line by line, in the words of the forms."""

from dataclasses import dataclass

from testing.triage.canonical import same
from testing.triage.words import heading, need_words
from vehicles.calculations import ranges
from vehicles.calculations.modifications import KINDS
from vehicles.plainly import label

FACT, RULES, LINE = "Fact", "Rules", "Line"


@dataclass(frozen=True, kw_only=True)
class Change:
    """One thing that is not any more as it was signed."""

    kind: str
    what: str
    was: str
    now: str
    why: str = ""

    def __str__(self):
        return f"{self.what}: was {self.was}, is {self.now}."


def facts(before, now):
    """Changed facts of the vehicle and its modifications."""
    if before["jurisdiction"] != now["jurisdiction"]:
        yield Change(kind=FACT, what="Registered in", was=before["jurisdiction"], now=now["jurisdiction"])
    for part in ("vehicle", "places"):
        old, new = before.get(part, {}), now.get(part, {})
        for name in sorted(old.keys() | new.keys()):
            if old.get(name) != new.get(name):
                what = label(name)
                yield Change(kind=FACT, what=what, was=value_of(name, old.get(name)), now=value_of(name, new.get(name)))
    if not same(before["modifications"], now["modifications"]):
        yield from _modifications(before["modifications"], now["modifications"])


def editions(before, now):
    """Another edition in force than the one that was signed under."""
    if {edition.key for edition in before} != {edition.key for edition in now}:
        yield Change(kind=RULES, what="Edition of rules", was=_titles(before), now=_titles(now))


def lines(before, now):
    """Changed needs: `before` as stored with the signature, `now` lines of the triage."""
    was = {line["code"]: line for line in before}
    for line in now:
        old = was.pop(line.code, None)
        if old is None or old["need"] != line.need:
            reasons = line.computed["reasons"]
            yield Change(
                kind=LINE,
                what=line.heading,
                was=need_words(old["need"]) if old else "not a line",
                now=need_words(line.need),
                why=reasons[0]["text"] if reasons else "",
            )
    for code, old in was.items():
        what = heading(code, old["title"])
        yield Change(kind=LINE, what=what, was=need_words(old["need"]), now="no longer a line")


def _titles(found):
    return "; ".join(sorted(edition.title for edition in found))


def value_of(name, value):
    """A fact with its unit, as people read it."""
    if value in (None, ""):
        return "not known"
    row = (ranges.VEHICLE | ranges.PLACES).get(name)
    return f"{value:,.10g} {row.unit}".strip() if row else {True: "yes", False: "no"}.get(value, str(value))


def _modifications(before, now):
    """Those that are the same on both sides drop out; of the rest, same kinds are held against each other."""
    old, new = [item for item in before if item not in now], [item for item in now if item not in before]
    for item in list(old):
        twin = next((other for other in new if other["kind"] == item["kind"]), None)
        if twin:
            old.remove(item)
            new.remove(twin)
            yield Change(kind=FACT, what=title_of(item), was=measured(item), now=measured(twin))
    for item in old:
        yield Change(kind=FACT, what=title_of(item), was=measured(item), now="taken off the list")
    for item in new:
        yield Change(kind=FACT, what=title_of(item), was="not on the list", now=measured(item))
    if not old and not new and len(before) != len(now):
        yield Change(kind=FACT, what="Modifications", was=f"{len(before)}", now=f"{len(now)}")


def title_of(item):
    """What a stored modification is called."""
    return KINDS[item["kind"]].title


def measured(item):
    """What was measured of a stored modification."""
    kind = KINDS[item["kind"]]
    units = {row.name: (row.label.lower(), row.unit) for row in kind.numbers}
    found = [
        f"{units[name][0]} {value:,.10g} {units[name][1]}".strip() if name in units else str(value)
        for name, value in item.items()
        if name != "kind"
    ]
    return ", ".join(found) or "on the list"
