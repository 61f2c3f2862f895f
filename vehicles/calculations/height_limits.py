"""The rise, the tyres and the track against each limit of the jurisdiction."""

from dataclasses import dataclass

from .case import Case
from .height import HeightLedger
from .rulesets import RuleSet, Threshold
from .wording import beside, plain

NAMES = {
    "suspension_mm": "Suspension",
    "body_mm": "Body lift",
    "tyre_mm": "Rise by the tyres",
    "total_mm": "Overall rise",
    "tyre_percent": "Change of tyre diameter",
    "tyre_diameter_mm": "Change of tyre diameter",
    "track_mm": "Change of track",
}
PURPOSE = {
    "uncertified": "allowed without certification",
    "certified": "that can be certified",
    "lt2": "above which the lane-change test is due",
}


@dataclass(frozen=True, kw_only=True)
class LimitCheck:
    """One quantity beside one limit. ``crossed`` is None when the quantity is not known."""

    name: str
    quantity: str
    amount: float | None
    crossed: bool | None
    text: str
    threshold: Threshold


def check_limits(*, case: Case, rules: RuleSet, height: HeightLedger) -> tuple[LimitCheck, ...]:
    """Hold every contribution against every limit that the jurisdiction sets on it.

    Parameters
    ----------
    case : Case
        For the change of track [mm]
    rules : RuleSet
        Thresholds that name a quantity
    height : HeightLedger
        Rise and contributions [mm]

    Returns
    -------
    tuple of LimitCheck
        In the order of the edition; for a limit both ways the axle that changes most counts

    Source: each limit names its own.
    """
    amounts = _amounts(case, height)
    both = height.suspension_mm != 0 and height.tyre_mm != 0
    return tuple(
        _check(limit, limit.quantity, amounts[limit.quantity])
        for limit in rules.thresholds.values()
        if limit.quantity is not None and (both or not limit.combined)
    )


def _amounts(case: Case, height: HeightLedger) -> dict[str, tuple[float | None, ...]]:
    tyres = height.tyres
    changed = any(item.kind == "tyre_change" for item in case.modifications)
    unknown = None if changed else 0.0
    return {
        "suspension_mm": (height.front_mm, height.rear_mm),
        "body_mm": (height.body_mm,),
        "tyre_mm": (height.tyre_mm,),
        "total_mm": (height.total_mm,),
        "tyre_percent": (tyres.change_percent if tyres else unknown,),
        "tyre_diameter_mm": (tyres.change_mm if tyres else unknown,),
        "track_mm": tuple(
            item.number(name)
            for item in case.modifications
            if item.kind == "track_change"
            for name in ("front_mm", "rear_mm")
        )
        or (0.0,),
    }


def _check(limit: Threshold, quantity: str, amounts: tuple[float | None, ...]) -> LimitCheck:
    known = [amount for amount in amounts if amount is not None]
    worst = max(known, key=abs if limit.both_ways else float) if known else None
    crossed = worst is not None and limit.crossed(worst)
    if not crossed and len(known) < len(amounts):
        worst = None
    name, unit = NAMES[quantity], limit.unit
    purpose = PURPOSE[limit.name.split(".")[0]]
    bound = f"{'±' if limit.both_ways else ''}{plain(limit.value)} {unit}"
    if worst is None:
        text = f"{name} is not known; {bound} is the limit {purpose}."
    else:
        relation = "more than" if crossed else "not more than"
        text = f"{name} {beside(worst, limit.value)} {unit} is {relation} the {bound} {purpose}."
    return LimitCheck(
        name=limit.name,
        quantity=quantity,
        amount=worst,
        crossed=None if worst is None else crossed,
        text=text,
        threshold=limit,
    )
