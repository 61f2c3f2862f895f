"""The rise, the tyres and the track against each limit of the jurisdiction."""

from dataclasses import dataclass

from .case import Case
from .height import HeightLedger
from .rulesets import RuleSet, Threshold
from .tyre_spread import MEASURE, OtherReading, other_readings
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
TRACK_GAP = "change of track: measure front and rear"


@dataclass(frozen=True, kw_only=True)
class LimitCheck:
    """One quantity beside one limit.

    ``crossed`` is None when the quantity is not known, or known only so far that it can lie on
    either side; ``settle`` then says what to measure.
    """

    name: str
    quantity: str
    amount: float | None
    crossed: bool | None
    text: str
    threshold: Threshold
    settle: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class _Amount:
    """What is known of a quantity: a value for each axle, and what else each may be."""

    values: tuple[float | None, ...]
    others: tuple[tuple[float, str], ...] = ()
    gaps: tuple[str, ...] = ()


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

    Notes
    -----
    Where exact and handbook tyre diameters, or a flotation tyre as named and as made, lie on
    different sides of a limit, nothing is decided before the tyres are measured.

    Example
    -------
    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> found = check_limits(case=done.case, rules=done.rules, height=done.height)
    >>> found[0].quantity, found[0].amount, found[0].crossed
    ('body_mm', 0.0, False)

    Source: each limit names its own.
    """
    amounts = _amounts(case, height)
    both = height.suspension_mm != 0 and height.tyre_mm != 0
    return tuple(
        _check(limit, limit.quantity, amounts[limit.quantity])
        for limit in rules.thresholds.values()
        if limit.quantity is not None and (both or not limit.combined)
    )


def _amounts(case: Case, height: HeightLedger) -> dict[str, _Amount]:
    tyres, readings = height.tyres, other_readings(height.tyres)
    unknown = None if any(item.kind == "tyre_change" for item in case.modifications) else 0.0
    tracks = tuple(
        item.number(name)
        for item in case.modifications
        if item.kind == "track_change"
        for name in ("front_mm", "rear_mm")
    )
    total = (height.total_mm,) if height.total_mm is not None else (height.least_mm, None)

    def tyre(value: float | None, others: dict[str, float]) -> _Amount:
        return _Amount(
            values=(unknown if value is None else value,),
            others=tuple((other, how) for how, other in others.items()),
            gaps=_gaps(height, "tyre", ".to"),
        )

    return {
        "suspension_mm": _Amount(values=(height.front_mm, height.rear_mm), gaps=_gaps(height, "front_mm", "rear_mm")),
        "body_mm": _Amount(values=(height.body_mm,), gaps=_gaps(height, "lift_mm")),
        "tyre_mm": tyre(tyres.rise_mm if tyres else None, {item.how: item.rise_mm for item in readings}),
        "total_mm": _Amount(values=total, others=_totals(height, readings), gaps=height.undecided),
        "tyre_percent": tyre(tyres.change_percent if tyres else None, {item.how: item.percent for item in readings}),
        "tyre_diameter_mm": tyre(tyres.change_mm if tyres else None, {item.how: item.change_mm for item in readings}),
        "track_mm": _Amount(values=tracks or (0.0,), gaps=(TRACK_GAP,)),
    }


def _totals(height: HeightLedger, readings: tuple[OtherReading, ...]) -> tuple[tuple[float, str], ...]:
    if height.total_mm is None or height.tyre_mm is None:
        return ()
    without = height.total_mm - height.tyre_mm
    return tuple((without + item.rise_mm, item.how) for item in readings)


def _gaps(height: HeightLedger, *names: str) -> tuple[str, ...]:
    return tuple(text for text in height.undecided if text.partition(":")[0].endswith(names))


def _check(limit: Threshold, quantity: str, amount: _Amount) -> LimitCheck:
    known = [value for value in amount.values if value is not None]
    worst = max(known, key=abs if limit.both_ways else float) if known else None
    over = worst is not None and limit.crossed(worst)
    if not over and len(known) < len(amount.values):
        worst = None
    name, unit = NAMES[quantity], limit.unit
    purpose = PURPOSE[limit.name.split(".")[0]]
    bound = f"{'±' if limit.both_ways else ''}{plain(limit.value)} {unit}"
    crossed: bool | None = over
    settle: tuple[str, ...] = ()
    if worst is None:
        text, crossed, settle = f"{name} is not known; {bound} is the limit {purpose}.", None, amount.gaps
    else:
        relation = "more than" if over else "not more than"
        text = f"{name} {beside(worst, limit.value)} {unit} is {relation} the {bound} {purpose}."
        flips = [(other, how) for other, how in amount.others if limit.crossed(other) is not over]
        if flips:
            other, how = flips[0]
            text += f" {how} it is {beside(other, limit.value)} {unit}, on the other side."
            crossed, settle = None, (MEASURE,)
    return LimitCheck(
        name=limit.name,
        quantity=quantity,
        amount=worst,
        crossed=crossed,
        text=text,
        threshold=limit,
        settle=settle,
    )
