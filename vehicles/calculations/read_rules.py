"""From the data of an edition to a RuleSet: every problem of the data is named."""

from collections.abc import Mapping
from datetime import date
from math import isfinite
from typing import Any

from .case import JURISDICTIONS
from .errors import Problem, RuleDataError, shown
from .modifications import KINDS
from .rulesets import Code, Discretion, Edition, RuleSet, Setting, Threshold

COMPARISONS = (None, "more_than", "at_least")
NEEDS = ("required", "discretionary", "not_required", "not_applicable", "undecided")
QUANTITIES = (
    None, "suspension_mm", "body_mm", "tyre_mm", "total_mm", "tyre_percent", "tyre_diameter_mm", "track_mm",
)  # fmt: skip
SETTINGS = {"course.datum": ("right_edge", "centre")}
# What the work-up cannot do without; the national edition has to state each of them.
REQUIRED = (
    "lt2.gvm_limit_kg", "seat.occupant_kg", "seat.luggage_kg", "driver.minimum_kg", "fuel.fraction",
    "fuel.petrol_kg_per_m3", "fuel.diesel_kg_per_m3", "fuel.lpg_kg_per_m3", "speed.target_passenger_kmh",
    "speed.target_other_kmh", "speed.first_max_kmh", "speed.first_max_high_lift_kmh", "speed.high_lift_mm",
    "speed.step_kmh", "wind.limit_mps", "course.offset_m", "course.datum", "category.goods_factor",
    "category.seat_kg",
)  # fmt: skip


def read_rules(
    cls: type[RuleSet], national: Mapping[str, object], jurisdiction: Mapping[str, object] | None
) -> RuleSet:
    """Read both editions and lay one over the other. Raises RuleDataError with every problem."""
    problems: list[Problem] = []
    layers = [_Layer(national, "national", problems)]
    if jurisdiction is not None:
        layers.append(_Layer(jurisdiction, str(jurisdiction.get("jurisdiction")), problems))
    thresholds: dict[str, Threshold] = {}
    settings: dict[str, Setting] = {}
    discretions: dict[str, Discretion] = {}
    codes: dict[str, Code] = {}
    for layer in layers:
        for item in layer.numbers():
            thresholds[item.name] = item
        for setting in layer.choices():
            settings[setting.name] = setting
        discretions.update((item.kind, item) for item in layer.discretions())
        codes.update((item.code, item) for item in layer.codes())
    for name in REQUIRED:
        if name not in thresholds and name not in settings:
            problems.append(Problem(path=f"national.thresholds.{name}", message="missing; it must be stated"))
    if problems:
        raise RuleDataError(tuple(problems))
    return cls(
        jurisdiction=layers[-1].edition.jurisdiction,
        editions=tuple(layer.edition for layer in layers),
        thresholds=thresholds,
        settings=settings,
        discretions=discretions,
        codes=tuple(codes.values()),
    )


class _Layer:
    """One edition's data, with the problems found while reading it."""

    def __init__(self, data: Mapping[str, object], path: str, problems: list[Problem]) -> None:
        self.data, self.path, self.problems = data, path, problems
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
            tag=self.text(self.data, "tag", ""),
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

    def rule(self, item: Mapping[str, Any], path: str) -> dict[str, Any]:
        return {
            "source": self.text(item, "source", f"{path}."),
            "tag": self.text(item, "tag", f"{path}."),
            "note": str(item.get("note", "")),
            "edition": self.edition,
        }

    def entries(self) -> list[tuple[str, Mapping[str, Any]]]:
        found = self.data.get("thresholds", {})
        if not isinstance(found, Mapping):
            self.wrong("thresholds", f"{shown(found)}; an object of named numbers is needed")
            return []
        return [(name, item) for name, item in found.items() if self.is_object(item, f"thresholds.{name}")]

    def numbers(self) -> list[Threshold]:
        return [self.number(name, item) for name, item in self.entries() if name not in SETTINGS]

    def number(self, name: str, item: Mapping[str, Any]) -> Threshold:
        path = f"thresholds.{name}"
        value = item.get("value")
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value) or value < 0:
            self.wrong(f"{path}.value", f"{shown(value)}; allowed: a number from 0")
            value = 0
        self.one_of(item.get("comparison"), COMPARISONS, f"{path}.comparison")
        self.one_of(item.get("quantity"), QUANTITIES, f"{path}.quantity")
        return Threshold(
            name=name,
            value=float(value),
            unit=str(item.get("unit", "")),
            comparison=item.get("comparison"),
            quantity=item.get("quantity"),
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
        for path, item in self.items("discretionary"):
            self.one_of(item.get("kind"), tuple(KINDS), f"{path}.kind")
            found.append(Discretion(kind=str(item.get("kind")), **self.rule(item, path)))
        return found

    def codes(self) -> list[Code]:
        found = []
        for path, item in self.items("codes"):
            for kind in item.get("kinds", ()):
                self.one_of(kind, tuple(KINDS), f"{path}.kinds")
            self.one_of(item.get("need"), NEEDS, f"{path}.need")
            self.one_of(item.get("axle"), (None, "front_mm", "rear_mm"), f"{path}.axle")
            found.append(
                Code(
                    code=self.text(item, "code", f"{path}."),
                    title=self.text(item, "title", f"{path}."),
                    kinds=tuple(map(str, item.get("kinds", ()))),
                    need=str(item.get("need")),
                    axle=item.get("axle"),
                    evidence=tuple(map(str, item.get("evidence", ()))),
                    **self.rule(item, path),
                )
            )
        return found

    def items(self, name: str) -> list[tuple[str, Mapping[str, Any]]]:
        found = self.data.get(name, [])
        if not isinstance(found, list | tuple):
            self.wrong(name, f"{shown(found)}; a list is needed")
            return []
        pairs = [(f"{name}[{index}]", item) for index, item in enumerate(found)]
        return [(path, item) for path, item in pairs if self.is_object(item, path)]

    def is_object(self, item: object, path: str) -> bool:
        if isinstance(item, Mapping):
            return True
        self.wrong(path, f"{shown(item)}; an object is needed")
        return False

    def one_of(self, value: object, allowed: tuple[object, ...], path: str) -> None:
        if value not in allowed:
            names = ", ".join("null" if item is None else str(item) for item in allowed)
            self.wrong(path, f"{shown(value)}; allowed: {names}")
