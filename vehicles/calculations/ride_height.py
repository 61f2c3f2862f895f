"""What the limits on rise, tyres and track come to: free, to be certified, or beyond certifying."""

from collections.abc import Iterator

from .case import Case
from .explain import Reason
from .height import HeightLedger
from .height_limits import LimitCheck
from .lane_change import changes_something
from .modifications import KINDS
from .requirement import Requirement
from .rulesets import UNCHECKED, RuleSet

# Which limits speak about which kind of modification.
SPEAKS_OF = {
    "suspension_lift": ("suspension_mm", "total_mm"),
    "suspension_lowering": ("suspension_mm",),
    "body_lift": ("body_mm", "total_mm"),
    "tyre_change": ("tyre_mm", "tyre_percent", "tyre_diameter_mm", "total_mm"),
    "track_change": ("track_mm",),
}


def ride_height(
    *, case: Case, rules: RuleSet, height: HeightLedger, checks: tuple[LimitCheck, ...]
) -> Iterator[Requirement]:
    """Whether the vehicle is still within what its jurisdiction leaves uncertified.

    A kind of modification of which the edition states no limit is left to the signatory.

    Parameters
    ----------
    case : its modifications
    rules : the editions of its jurisdiction
    height : what each modification does to the height [mm]
    checks : the limits of the rules against it, in their own units

    Returns
    -------
    One Requirement, or none when nothing touches ride height, tyres or track.

    Raises
    ------
    Nothing.

    Example
    -------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> from .modifications import Modification
    >>> lift = Modification(kind="body_lift", values={"lift_mm": 50})
    >>> case = Case(jurisdiction="QLD", vehicle=Vehicle(gvm_kg=2950, adr_category="MC"), modifications=(lift,))
    >>> from .height import ledger
    >>> from .height_limits import check_limits
    >>> rules, height = rule_set("QLD"), ledger(case)
    >>> checks = check_limits(case=case, rules=rules, height=height)
    >>> [line.need for line in ride_height(case=case, rules=rules, height=height, checks=checks)]
    ['required']

    Source: each limit cites its own.
    """
    changed = [item for item in case.modifications if item.kind in SPEAKS_OF]
    if not changed:
        return
    free = [check for check in checks if check.name.startswith("uncertified.")]
    over = [check for check in free if check.crossed]
    unknown = [check for check in free if check.crossed is None]
    # A total that is made of suspension and tyres says nothing of a body lift.
    stated = {check.quantity for check in free if not check.threshold.combined}
    silent = dict.fromkeys(
        KINDS[item.kind].title
        for item in changed
        if changes_something(item, height) and not stated & {*SPEAKS_OF[item.kind]}
    )
    reasons = [Reason(text=check.text, source=check.threshold.cited) for check in over or unknown or _touched(free)]
    if silent and not over:
        reasons.append(_silence(", ".join(silent), rules))
    if not reasons:
        text = "Nothing that was measured changes ride height, tyres or track."
        reasons.append(Reason(text=text, source=rules.editions[-1].source))
    need = "required" if over else "undecided" if unknown else "discretionary" if silent else "not_required"
    yield Requirement(
        code="RIDE_HEIGHT",
        title="Certification of ride height, tyres or track",
        need=need,
        reasons=tuple(reasons),
        undecided=() if over else _gaps(unknown),
    )


def reduction(*, case: Case, checks: tuple[LimitCheck, ...]) -> Iterator[Requirement]:
    """Whether something has to be taken back before the vehicle can be certified at all.

    Parameters
    ----------
    case : its modifications [mm]
    checks : the limits of the rules against it, in their own units

    Returns
    -------
    One Requirement, or none when nothing that has such a limit is changed.

    Raises
    ------
    Nothing.

    Example
    -------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> from .modifications import Modification
    >>> lift = Modification(kind="body_lift", values={"lift_mm": 50})
    >>> case = Case(jurisdiction="QLD", vehicle=Vehicle(gvm_kg=2950, adr_category="MC"), modifications=(lift,))
    >>> from .height import ledger
    >>> from .height_limits import check_limits
    >>> rules, height = rule_set("QLD"), ledger(case)
    >>> checks = check_limits(case=case, rules=rules, height=height)
    >>> [line.need for line in reduction(case=case, checks=checks)]
    ['not_required']

    Source: each limit cites its own.
    """
    changed = any(item.kind in SPEAKS_OF for item in case.modifications)
    bounds = _touched([check for check in checks if check.name.startswith("certified.")])
    if not changed or not bounds:
        return
    over = [check for check in bounds if check.crossed]
    unknown = [check for check in bounds if check.crossed is None]
    yield Requirement(
        code="REDUCTION",
        title="Reduction to what can be certified",
        need="required" if over else "undecided" if unknown else "not_required",
        reasons=tuple(
            Reason(text=_beyond(check) if check.crossed else check.text, source=check.threshold.cited)
            for check in over or unknown or bounds
        ),
        undecided=() if over else _gaps(unknown),
    )


def _touched(checks: list[LimitCheck]) -> list[LimitCheck]:
    """Without the quantities that nothing on this vehicle changes."""
    return [check for check in checks if check.amount != 0]


def _beyond(check: LimitCheck) -> str:
    return f"{check.text} It cannot be certified under edition {check.threshold.edition.id}."


def _silence(titles: str, rules: RuleSet) -> Reason:
    edition = rules.editions[-1]
    text = f"{titles}: edition {edition.id} states no limit below which no certification is needed."
    mark = "" if edition.checked_by else f"; {UNCHECKED}"
    return Reason(text=f"{text} The signatory decides.", source=f"{edition.source} [edition {edition.id}{mark}]")


def _gaps(checks: list[LimitCheck]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for check in checks for text in check.settle))
