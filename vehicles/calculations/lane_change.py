"""Whether the modifications ask for a lane-change test, leaving the GVM aside."""

from dataclasses import dataclass, field

from .case import Case
from .explain import Reason
from .height import HeightLedger
from .modifications import KINDS, Modification
from .rulesets import DUST, RuleSet, Threshold
from .tyre_spread import MEASURE, other_readings
from .wording import beside, plain

# What the height ledger measures: where a jurisdiction has a limit on the rise, the limit decides.
RAISING = ("suspension_lift", "suspension_lowering", "body_lift", "tyre_change")


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What the modifications ask for, why, and what would have to be known."""

    need: str
    reasons: tuple[Reason, ...]
    undecided: tuple[str, ...]


@dataclass
class _Signs:
    """What speaks for the test, what leaves it to the signatory, what is open, what speaks against."""

    due: list[Reason] = field(default_factory=list)
    discretion: list[Reason] = field(default_factory=list)
    against: list[Reason] = field(default_factory=list)
    undecided: list[str] = field(default_factory=list)


def judge(*, case: Case, rules: RuleSet, height: HeightLedger) -> Finding:
    """Judge the rise, the body lift and each other modification against the rules.

    Parameters
    ----------
    case : Case
        The modifications
    rules : RuleSet
        Limits on the rise, where the jurisdiction has any, and the kinds left to discretion
    height : HeightLedger
        The rise [mm]

    Returns
    -------
    Finding
        Need without regard to the GVM, reasons and what to measure

    Notes
    -----
    A limit that is crossed decides. When exact and handbook tyre diameters, or a flotation tyre
    as named and as made, lie on different sides of it, the tyres have to be measured. Without a
    limit of its own a jurisdiction follows VSB 14, where the signatory decides what is
    significant. Without a jurisdiction nothing is ruled out.

    Example
    -------
    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> judge(case=done.case, rules=done.rules, height=done.height).need
    'required'

    Source: each reason names its own.
    """
    signs = _Signs()
    rise = rules.threshold("lt2.total_rise_mm")
    if rise is not None:
        _total(rise, height, signs)
    body = rules.threshold("lt2.body_lift_mm")
    if body is not None:
        _body(body, case, height, signs)
    for item in case.modifications:
        rule = rules.discretions.get(item.kind)
        if rule is None or not changes_something(item, height):
            continue
        if rise is None or item.kind not in RAISING:
            title = KINDS[item.kind].title
            signs.discretion.append(Reason(text=f"{title}: the signatory decides. {rule.note}", source=rule.cited))
    if rules.jurisdiction is None and case.modifications:
        signs.undecided.append("jurisdiction: the state or territory of registration, whose limits apply")
    return _concluded(signs, rules)


def _concluded(signs: _Signs, rules: RuleSet) -> Finding:
    undecided = tuple(dict.fromkeys(signs.undecided))
    if signs.due:
        return Finding(need="required", reasons=tuple(signs.due), undecided=undecided)
    open_reasons = (*signs.discretion, *signs.against)
    if undecided:
        text = "Undecided until what is missing has been measured."
        source = rules.need("lt2.gvm_limit_kg").cited
        return Finding(need="undecided", reasons=(Reason(text=text, source=source), *open_reasons), undecided=undecided)
    if signs.discretion:
        return Finding(need="discretionary", reasons=open_reasons, undecided=())
    none = Reason(
        text="No modification given calls for a lane-change test under these editions: "
        f"{', '.join(rules.edition_ids)}.",
        source=rules.need("lt2.gvm_limit_kg").cited,
    )
    return Finding(need="not_required", reasons=(*signs.against, none), undecided=())


def _total(limit: Threshold, height: HeightLedger, signs: _Signs) -> None:
    if height.total_mm is None:
        if height.least_mm is not None and limit.crossed(height.least_mm):
            text = (
                f"Overall rise is at least {beside(height.least_mm, limit.value)} mm, more than "
                f"{plain(limit.value)} mm: {height.composition}."
            )
            signs.due.append(Reason(text=text, source=limit.cited))
        signs.undecided.extend(height.undecided)
        return
    over = limit.crossed(height.total_mm)
    text = (
        f"Overall rise {beside(height.total_mm, limit.value)} mm is {'more' if over else 'not more'} than "
        f"{plain(limit.value)} mm: {height.composition}."
    )
    tyre_mm = height.tyre_mm or 0.0
    for reading in other_readings(height.tyres):
        other = height.total_mm - tyre_mm + reading.rise_mm
        if limit.crossed(other) is not over:
            text += f" {reading.how} it is {beside(other, limit.value)} mm, on the other side."
            signs.against.append(Reason(text=text, source=limit.cited))
            signs.undecided.append(MEASURE)
            return
    (signs.due if over else signs.against).append(Reason(text=text, source=limit.cited))


def _body(limit: Threshold, case: Case, height: HeightLedger, signs: _Signs) -> None:
    if not any(item.kind == "body_lift" for item in case.modifications):
        return
    if height.body_mm is None:
        signs.undecided.extend(text for text in height.undecided if "lift_mm" in text)
        return
    over = limit.crossed(height.body_mm)
    text = f"Body lift of {beside(height.body_mm, limit.value)} mm: any body lift calls for the test."
    if limit.value:
        text = (
            f"Body lift of {beside(height.body_mm, limit.value)} mm is {'more' if over else 'not more'} than "
            f"{plain(limit.value)} mm."
        )
    if over or limit.value:
        (signs.due if over else signs.against).append(Reason(text=text, source=limit.cited))


def changes_something(item: Modification, height: HeightLedger) -> bool:
    """False for a measured change of nothing: a lift of 0 mm, tyres of the same diameter.

    Parameters: a modification and the ledger of the height [mm]. Returns: whether anything
    changes [-].

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> same = Modification(kind="suspension_lift", values={"front_mm": 0, "rear_mm": 0})
    >>> changes_something(same, done.height)
    False

    Source: our own rule.
    """
    if item.kind == "tyre_change":
        return height.tyres is None or abs(height.tyres.change_mm) > DUST
    if item.kind in ("roof_load", "fixed_load"):
        return item.number("mass_kg") != 0
    numbers = [item.number(row.name) for row in KINDS[item.kind].numbers]
    return not numbers or any(value != 0 for value in numbers)
