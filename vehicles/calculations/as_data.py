"""A work-up as plain data: dictionaries, lists, text, numbers and null."""

from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from .consequences import consequences
from .explain import Reason
from .height_limits import LimitCheck
from .loading_data import loading_data
from .rulesets import UNCHECKED, Edition

if TYPE_CHECKING:
    from .triage import Triage
    from .workup import WorkUp

DECIMALS = 6


def clean(value: Any) -> Any:
    """Plain data without float dust: numbers to six decimals, money as numbers, tuples as lists.

    >>> clean({"fuel": 36.540000000000006, "aud": Decimal("2150.00"), "ladder": (80, 90)})
    {'fuel': 36.54, 'aud': 2150.0, 'ladder': [80, 90]}
    """
    if isinstance(value, Mapping):
        return {key: clean(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [clean(item) for item in value]
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, float):
        return round(value, DECIMALS) + 0.0  # turns −0.0 into 0.0
    return value


def as_data(done: "WorkUp") -> dict[str, object]:
    """Every part of a work-up under its key. Source: our own format."""
    data: dict[str, object] = {
        **decided(done),
        "masses": {
            **_without(done.masses, "workings", "cautions"),
            "axles": _without(done.axles, "cautions", "tm1_gaps"),
        },
        "ballast": None if done.loading is None else loading_data(done.loading),
        "centre_of_gravity": _centre(done),
        "course": _course(done),
        "set_out": None if done.set_out is None else _without(done.set_out, "cautions"),
        "site": None if done.site is None else _without(done.site, "workings"),
        "speeds": {name: getattr(done.speeds, name) for name in ("target_kmh", "first_max_kmh", "ladder_kmh")},
        "speedometer": None if done.speedometer is None else _without(done.speedometer, "workings"),
        "stability": {item.mass: _without(item, "mass", "workings") for item in done.stability},
        "demand": [{"speed_kmh": d.speed_kmh, "peak_lateral_g": d.peak_lateral_g} for d in done.demand],
        "outlook": None if done.outlook is None else asdict(done.outlook),
        "limits": {"wind_mps": done.rules.value("wind.limit_mps")},
        "estimate": _without(done.estimate, "workings"),
        "cautions": done.cautions,
        "undecided": done.undecided,
        "working": [asdict(item) for item in done.working],
    }
    plain: dict[str, object] = clean(data)
    return plain


def decided(done: "WorkUp | Triage") -> dict[str, object]:
    """What a triage rests on and comes to. Source: our own format."""
    data: dict[str, object] = clean(
        {
            "edition": [_edition(edition) for edition in done.rules.editions],
            "category": _category(done),
            "height": _height(done),
            "requirements": [asdict(item) for item in done.requirements],
        }
    )
    return data


def _without(item: Any, *names: str) -> dict[str, Any]:
    return {name: value for name, value in asdict(item).items() if name not in names}


def _edition(edition: Edition) -> dict[str, object]:
    return {**asdict(edition), "mark": None if edition.checked_by else UNCHECKED}


def _category(done: "WorkUp | Triage") -> dict[str, object]:
    reasons = [*done.category.reasons, *consequences(category=done.category, rules=done.rules)]
    return {**_without(done.category, "cautions"), "reasons": [asdict(reason) for reason in reasons]}


def _height(done: "WorkUp | Triage") -> dict[str, object]:
    ledger = _without(done.height, "workings", "tyres")
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


def _centre(done: "WorkUp") -> dict[str, object]:
    """Height as measured and the places along and across; steps are those of the axle lift."""
    found = done.centre_of_gravity
    return {
        **_without(found.height, "workings", "cautions"),
        "at": {item.mass: _without(item, "mass") for item in found.positions},
    }


def _course(done: "WorkUp") -> dict[str, object] | None:
    return None if done.course is None else _without(done.course, "workings", "cautions", "lanes")
