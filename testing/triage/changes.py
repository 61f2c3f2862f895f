"""What changed since a triage was signed, line by line, in the words of the forms."""

from dataclasses import dataclass

from testing.triage.canonical import same
from testing.triage.words import heading, need_words
from vehicles.calculations import ranges
from vehicles.calculations.modifications import KINDS
from vehicles.plainly import label
from vehicles.wording import in_a_sentence

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
    old, new = {edition.key: edition for edition in before}, {edition.key: edition for edition in now}
    if old.keys() != new.keys():
        was = [edition for key, edition in old.items() if key not in new]
        now = [edition for key, edition in new.items() if key not in old]
        yield Change(kind=RULES, what="Edition of rules", was=_titles(was), now=_titles(now))


def lines(before, now):
    """Changed needs: `before` as stored with the signature, `now` lines of the triage."""
    was = {line["code"]: line for line in before}
    for line in now:
        old = was.pop(line.code, None)
        if old and line.computed["follows"] and line.computed["follows"] == old.get("follows") and not line.override:
            continue  # it goes with a line that is listed itself
        if old is None or old["need"] != line.need:
            reasons = line.computed["reasons"]
            yield Change(
                kind=LINE,
                what=line.heading,
                was=need_words(old["need"]) if old else "not a line",
                now=need_words(line.need),
                why=reasons[0]["text"] if reasons else "",
            )
        elif _reason(old.get("override")) != (said := line.override.reason if line.override else ""):
            yield Change(kind=LINE, what=line.heading, was=_because(_reason(old.get("override"))), now=_because(said))
    for code, old in was.items():
        what = heading(code, old["title"])
        yield Change(kind=LINE, what=what, was=need_words(old["need"]), now="no longer a line")


def _reason(override):
    return override["reason"] if override else ""


def _because(reason):
    return f"decided because: {reason}" if reason else "as the rules alone say"


def changed_lines(before, after, needs_before, needs_after):
    """Lines that two ways of deciding the same job need differently.

    Left out is what only follows: it goes with a line that is listed itself.
    """
    old, new = ({line.code: line for line in lines} for lines in (before, after))
    for code, line in (old | new).items():
        was, now = needs_before.get(code), needs_after.get(code)
        if was == now or _only_follows(old.get(code), new.get(code)):
            continue
        yield Change(
            kind=LINE, what=heading(code, line.title), was=_word(was), now=_word(now), why=line.reasons[0].text
        )


def _only_follows(old, new):
    return bool(old and new and old.follows and old.follows == new.follows)


def _word(need):
    return "not a line" if need is None else need_words(need)


def _titles(found):
    return "; ".join(sorted(f"{edition.title} [{edition.key}]" for edition in found)) or "none"


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
    units = {row.name: (in_a_sentence(row.label), row.unit) for row in kind.numbers}
    found = [
        f"{units[name][0]} {item[name]:,.10g} {units[name][1]}".strip() if name in units else str(item[name])
        for name in kind.names
        if name in item
    ]
    return ", ".join(found) or "on the list"
