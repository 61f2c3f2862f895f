"""What a triage rests on and comes to, as plain data: the same under a triage alone and a whole work-up."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Protocol

from .category import Category
from .consequences import consequences
from .explain import Reason
from .height import HeightLedger
from .height_limits import LimitCheck
from .plain_data import clean, without
from .requirement import Requirement
from .rulesets import UNCHECKED, Edition, RuleSet


class Decided(Protocol):
    """The parts of a triage, whoever computed them."""

    @property
    def rules(self) -> RuleSet: ...
    @property
    def category(self) -> Category: ...
    @property
    def height(self) -> HeightLedger: ...
    @property
    def limits(self) -> Sequence[LimitCheck]: ...
    @property
    def requirements(self) -> Sequence[Requirement]: ...


def decided(done: Decided) -> dict[str, object]:
    """What a triage rests on and comes to.

    Parameters: the parts of a triage [mm, kg]. Returns: plain data.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> decided(done)["category"]["code"]
    'MC'

    Source: our own format.
    """
    data: dict[str, object] = clean(
        {
            "edition": [_edition(edition) for edition in done.rules.editions],
            "category": _category(done),
            "height": _height(done),
            "requirements": [asdict(item) for item in done.requirements],
        }
    )
    return data


def _edition(edition: Edition) -> dict[str, object]:
    return {**asdict(edition), "mark": None if edition.checked_by else UNCHECKED}


def _category(done: Decided) -> dict[str, object]:
    reasons = [*done.category.reasons, *consequences(category=done.category, rules=done.rules)]
    return {**without(done.category, "cautions"), "reasons": [asdict(reason) for reason in reasons]}


def _height(done: Decided) -> dict[str, object]:
    ledger = without(done.height, "workings", "tyres")
    change = done.height.tyres
    ledger["tyres"] = None if change is None else asdict(change)
    ledger["limits"] = [_limit(check) for check in done.limits]
    return ledger


def _limit(check: LimitCheck) -> dict[str, object]:
    reason = Reason(text=check.text, source=check.threshold.cited)
    return {
        "name": check.name,
        "quantity": check.quantity,
        "amount": check.amount,
        "limit": check.threshold.value,
        "unit": check.threshold.unit,
        "crossed": check.crossed,
        **asdict(reason),
    }
