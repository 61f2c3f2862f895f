"""The reference data that comes with the project, read as plain files: no database, no models."""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from vehicles.calculations.ballast_stock import BallastStock
from vehicles.calculations.case import JURISDICTIONS
from vehicles.calculations.example import example_case
from vehicles.calculations.price_book import PriceBook
from vehicles.calculations.read_rules import read_rules
from vehicles.calculations.rulesets import RuleSet
from vehicles.calculations.workup import WorkUp, work_up

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"


@cache
def edition(name: str) -> Mapping[str, object]:
    """The data of one edition of rules by file name: ``national`` or a jurisdiction in lower case."""
    return json.loads((FIXTURES / "rules" / f"{name}.json").read_text(encoding="utf-8"))


def editions() -> tuple[Mapping[str, object], ...]:
    """All editions that come with the project, national first."""
    return (edition("national"), *(edition(name.lower()) for name in JURISDICTIONS))


@cache
def rule_set(jurisdiction: str | None) -> RuleSet:
    """The rules of a jurisdiction; for None the national ones alone."""
    if jurisdiction is None:
        return read_rules(edition("national"))
    return read_rules(edition("national"), edition(jurisdiction.lower()))


@cache
def price_book() -> PriceBook:
    """The workshop's prices."""
    return PriceBook.from_data(json.loads((FIXTURES / "price_book.json").read_text(encoding="utf-8")))


@cache
def ballast_stock() -> BallastStock:
    """The ballast that is assumed where a workshop has recorded none."""
    return BallastStock.from_data(json.loads((FIXTURES / "ballast_stock.json").read_text(encoding="utf-8")))


@cache
def worked_example(*, with_demand: bool = False) -> WorkUp:
    """The example of the calculation module worked up by the data of the project: its docstrings begin from here."""
    case = example_case()
    return work_up(
        case, rules=rule_set(case.jurisdiction), prices=price_book(), stock=ballast_stock(), with_demand=with_demand
    )
