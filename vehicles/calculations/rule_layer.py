"""One edition's data, read entry by entry; every problem is named by its path."""

import re
from collections.abc import Mapping
from datetime import date
from math import isfinite
from typing import Any

from .case import JURISDICTIONS
from .errors import Problem, shown
from .modifications import KINDS
from .requirement import LEADS_TO, STRENGTH
from .rule_bounds import COMPARED, COMPARISONS, LIMITS, QUANTITIES, SETTINGS, bounds_of
from .rulesets import Code, Discretion, Edition, Evidence, Setting, Threshold

ANY_KIND = "any"
TAG = re.compile(r"pub|2\+|2nd|practice|memory (100|[1-9]?\d)", re.ASCII)
WORD = re.compile(r"[A-Za-z0-9/_]{1,30}", re.ASCII)
TAGS = "pub, 2+, 2nd, practice, memory with how sure in per cent (memory 80)"
_EDITION = ("id", "jurisdiction", "title", "effective_from", "effective_to", "checked_by", "checked_on")
_RULE = ("source", "tag", "note")
TOP = (*_EDITION, *_RULE, "thresholds", "discretionary", "codes", "evidence")
NUMBER = (*_RULE, "value", "unit", "comparison", "quantity", "both_ways", "combined")
DISCRETION = (*_RULE, "kind")
CODE = (*_RULE, "code", "title", "kinds", "need", "axle", "leads_to")
EVIDENCE = (*_RULE, "key", "title", "kinds", "follows", "limit")


class Layer:
    """The data of one edition, and the problems found while reading it."""

    def __init__(self, data: Mapping[str, object], path: str, problems: list[Problem]) -> None:
        self.data, self.path, self.problems = data, path, problems
        self.known(data, TOP, "")
        self.edition = self._edition()

    def wrong(self, path: str, message: str) -> None:
        self.problems.append(Problem(path=f"{self.path}.{path}", message=message))

    def _edition(self) -> Edition:
        jurisdiction = self.data.get("jurisdiction")
        if jurisdiction is not None and jurisdiction not in JURISDICTIONS:
            self.wrong("jurisdiction", f"{shown(jurisdiction)}; allowed: null, {', '.join(JURISDICTIONS)}")
            jurisdiction = None
        checked_by = self.data.get("checked_by")
        return Edition(
            jurisdiction=None if jurisdiction is None else str(jurisdiction),
            checked_by=None if checked_by is None else str(checked_by),
            note=str(self.data.get("note", "")),
            id=self.text(self.data, "id", ""),
            title=self.text(self.data, "title", ""),
            source=self.text(self.data, "source", ""),
            tag=self.tag(self.data, ""),
            effective_from=self.day("effective_from"),
            effective_to=self.day("effective_to"),
            checked_on=self.day("checked_on"),
        )

    def day(self, name: str) -> str | None:
        value = self.data.get(name)
        if value is None:
            return None
        try:
            return date.fromisoformat(str(value)).isoformat()
        except ValueError:
            self.wrong(name, f"{shown(value)} is not a date; allowed: YYYY-MM-DD or null")
            return None

    def text(self, item: Mapping[str, Any], name: str, path: str) -> str:
        value = item.get(name)
        if isinstance(value, str) and value.strip():
            return value
        self.wrong(f"{path}{name}", f"{shown(value)}; a text is needed")
        return ""

    def word(self, item: Mapping[str, Any], name: str, path: str) -> str:
        """A name that stands in addresses and in the engineer's decisions."""
        value = item.get(name)
        if isinstance(value, str) and WORD.fullmatch(value):
            return value
        self.wrong(f"{path}{name}", f"{shown(value)}; allowed: up to 30 letters, digits, / and _")
        return ""

    def tag(self, item: Mapping[str, Any], path: str) -> str:
        """How far a source can be trusted decides about the mark: only the agreed tags are taken."""
        value = item.get("tag")
        if isinstance(value, str) and TAG.fullmatch(value):
            return value
        self.wrong(f"{path}tag", f"{shown(value)}; allowed: {TAGS}")
        return ""

    def rule(self, item: Mapping[str, Any], path: str) -> dict[str, Any]:
        return {
            "source": self.text(item, "source", f"{path}."),
            "tag": self.tag(item, f"{path}."),
            "note": str(item.get("note", "")),
            "edition": self.edition,
        }

    def entries(self) -> list[tuple[str, Mapping[str, Any]]]:
        found = self.data.get("thresholds", {})
        if not isinstance(found, Mapping):
            self.wrong("thresholds", f"{shown(found)}; an object of named numbers is needed")
            return []
        # By name, for a database may hand an object back in another order than it was given.
        named = sorted(found.items())
        return [(name, item) for name, item in named if self.is_object(item, f"thresholds.{name}", NUMBER)]

    def numbers(self) -> list[Threshold]:
        return [self.number(name, item) for name, item in self.entries() if name not in SETTINGS]

    def number(self, name: str, item: Mapping[str, Any]) -> Threshold:
        path = f"thresholds.{name}"
        value, comparison, quantity = item.get("value"), item.get("comparison"), item.get("quantity")
        bounds = bounds_of(name)
        if bounds is None:
            self.wrong(path, f"no rule is known by that name; allowed: the national names and {'…, '.join(LIMITS)}…")
        low, high = bounds or (0, 0)
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            self.wrong(f"{path}.value", f"{shown(value)}; allowed: a number from {low:,g} to {high:,g}")
            value = 0
        elif bounds and not low <= value <= high:
            self.wrong(f"{path}.value", f"{shown(value)}; allowed: {low:,g} to {high:,g}")
        self.one_of(comparison, COMPARISONS, f"{path}.comparison")
        self.one_of(quantity, QUANTITIES, f"{path}.quantity")
        if comparison is None and (name in COMPARED or quantity is not None):
            self.wrong(f"{path}.comparison", "missing; allowed: more_than, at_least")
        if quantity is not None and not name.startswith(LIMITS):
            self.wrong(f"{path}.quantity", f"only numbers named {'…, '.join(LIMITS)}… limit a quantity")
        return Threshold(
            name=name,
            value=float(value),
            unit=str(item.get("unit", "")),
            comparison=comparison,
            quantity=quantity,
            both_ways=item.get("both_ways") is True,
            combined=item.get("combined") is True,
            **self.rule(item, path),
        )

    def choices(self) -> list[Setting]:
        found = []
        for name, item in self.entries():
            if name in SETTINGS:
                path = f"thresholds.{name}"
                self.one_of(item.get("value"), SETTINGS[name], f"{path}.value")
                found.append(Setting(name=name, value=str(item.get("value")), **self.rule(item, path)))
        return found

    def discretions(self) -> list[Discretion]:
        found = []
        for path, item in self.items("discretionary", DISCRETION):
            self.one_of(item.get("kind"), tuple(KINDS), f"{path}.kind")
            found.append(Discretion(kind=str(item.get("kind")), **self.rule(item, path)))
        return found

    def codes(self) -> list[Code]:
        found = []
        for path, item in self.items("codes", CODE):
            self.one_of(item.get("need"), STRENGTH, f"{path}.need")
            self.one_of(item.get("axle"), (None, "front_mm", "rear_mm"), f"{path}.axle")
            leads_to = item.get("leads_to", "report")
            self.one_of(leads_to, LEADS_TO, f"{path}.leads_to")
            found.append(
                Code(
                    code=self.word(item, "code", f"{path}."),
                    title=self.text(item, "title", f"{path}."),
                    kinds=self.kinds(item, path),
                    need=str(item.get("need")),
                    axle=item.get("axle"),
                    leads_to=str(leads_to),
                    **self.rule(item, path),
                )
            )
        return found

    def evidence(self) -> list[Evidence]:
        found = []
        for path, item in self.items("evidence", EVIDENCE):
            kinds = self.kinds(item, path)
            limit = item.get("limit")
            found.append(
                Evidence(
                    key=self.word(item, "key", f"{path}."),
                    title=self.text(item, "title", f"{path}."),
                    kinds=tuple(KINDS) if ANY_KIND in kinds else kinds,
                    follows=self.words(item, "follows", path),
                    limit=None if limit is None else str(limit),
                    **self.rule(item, path),
                )
            )
        return found

    def kinds(self, item: Mapping[str, Any], path: str) -> tuple[str, ...]:
        kinds = self.words(item, "kinds", path)
        for kind in kinds:
            self.one_of(kind, (ANY_KIND, *KINDS), f"{path}.kinds")
        return kinds

    def words(self, item: Mapping[str, Any], name: str, path: str) -> tuple[str, ...]:
        value = item.get(name, [])
        if isinstance(value, list | tuple) and all(isinstance(word, str) for word in value):
            return tuple(value)
        self.wrong(f"{path}.{name}", f"{shown(value)}; a list of texts is needed")
        return ()

    def items(self, name: str, keys: tuple[str, ...]) -> list[tuple[str, Mapping[str, Any]]]:
        found = self.data.get(name, [])
        if not isinstance(found, list | tuple):
            self.wrong(name, f"{shown(found)}; a list is needed")
            return []
        pairs = [(f"{name}[{index}]", item) for index, item in enumerate(found)]
        return [(path, item) for path, item in pairs if self.is_object(item, path, keys)]

    def is_object(self, item: object, path: str, keys: tuple[str, ...]) -> bool:
        if isinstance(item, Mapping):
            self.known(item, keys, f"{path}.")
            return True
        self.wrong(path, f"{shown(item)}; an object is needed")
        return False

    def known(self, item: Mapping[str, Any], keys: tuple[str, ...], path: str) -> None:
        for key in item:
            if key not in keys:
                self.wrong(f"{path}{shown(key)[1:-1]}", f"unknown key; allowed: {', '.join(keys)}")

    def one_of(self, value: object, allowed: tuple[object, ...], path: str) -> None:
        # Compared one by one: what a file holds here may not be hashable.
        if value not in allowed:
            names = ", ".join("null" if item is None else str(item) for item in allowed)
            self.wrong(path, f"{shown(value)}; allowed: {names}")
