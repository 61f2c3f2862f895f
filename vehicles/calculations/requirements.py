"""What the modifications call for: tests, reports, codes and evidence, each with its reasons."""

from collections.abc import Iterator
from dataclasses import dataclass

from .case import Case
from .category import GVM_GAP, Category
from .explain import Reason
from .height import HeightLedger
from .height_limits import LimitCheck, check_limits
from .lane_change import Finding, judge
from .modifications import KINDS, Modification
from .rulesets import Code, RuleSet
from .wording import beside, plain

LT2_EVIDENCE = (
    "Weighbridge ticket for each axle, with the fuel level",
    "Overall width, measured as your copy of ISO 3888-1 defines it",
    "Insurance for the market value on the day of the test",
    "The driver's signed statement that the vehicle is safe to drive",
)
INSPECTION = "Common practice, no published source"


@dataclass(frozen=True, kw_only=True)
class Requirement:
    """One test, report or code: whether it is needed, why, and what would decide it."""

    code: str
    title: str
    need: str
    reasons: tuple[Reason, ...]
    undecided: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()


def requirements(*, case: Case, rules: RuleSet, category: Category, height: HeightLedger) -> tuple[Requirement, ...]:
    """Decide what the case needs under one set of rules.

    Parameters
    ----------
    case : Case
        The modifications and their measurements
    rules : RuleSet
        The jurisdiction's thresholds over the national ones
    category : Category
        Resulting GVM [kg], seats and category
    height : HeightLedger
        The rise and its contributions [mm]

    Returns
    -------
    tuple of Requirement
        The lane-change test (LT2) and the driving report first; need is one of required,
        discretionary, not_required, not_applicable, undecided

    Notes
    -----
    Unrounded values are compared with each threshold as it is written; only float dust of 1e-9 is
    forgiven. What is not known and would decide gives undecided, with what to measure.

    Examples
    --------
    See tests/calculations/test_requirements.py: 77.25 mm in NSW requires LT2.

    Source: each reason names its own, with the edition.
    """
    finding = judge(case=case, rules=rules, height=height)
    lane_change = _lane_change(rules=rules, category=category, finding=finding)
    return (
        lane_change,
        _driving_report(rules=rules, category=category),
        _inspection(case, lane_change),
        *_ride_height(check_limits(case=case, rules=rules, height=height), case),
        *_codes(case, rules),
    )


def _lane_change(*, rules: RuleSet, category: Category, finding: Finding) -> Requirement:
    limit, gvm = rules.need("lt2.gvm_limit_kg"), category.gvm_kg
    undecided: tuple[str, ...] = finding.undecided
    if gvm is None:
        need = "undecided"
        text = f"GVM is not known; up to and including {plain(limit.value)} kg the test applies."
        undecided = (*_gvm_gap(category), *undecided)
    elif limit.crossed(gvm):
        need = "not_applicable"
        text = (
            f"GVM of {beside(gvm, limit.value, 0)} kg is more than {plain(limit.value)} kg: "
            "no lane-change test, a driving report instead."
        )
    else:
        need = finding.need
        text = f"GVM of {beside(gvm, limit.value, 0)} kg is not more than {plain(limit.value)} kg: the test applies."
    settled = need in ("required", "not_applicable")
    return Requirement(
        code="LT2",
        title="Lane-change test",
        need=need,
        reasons=(*finding.reasons, Reason(text=text, source=limit.cited)),
        undecided=() if settled else undecided,
        evidence=LT2_EVIDENCE if need in ("required", "discretionary") else (),
    )


def _gvm_gap(category: Category) -> tuple[str, ...]:
    named = tuple(text for text in category.undecided if "gvm_kg" in text or "to_kg" in text)
    return named or (GVM_GAP,)


def _driving_report(*, rules: RuleSet, category: Category) -> Requirement:
    limit, gvm = rules.need("lt2.gvm_limit_kg"), category.gvm_kg
    if gvm is None:
        need, text = "undecided", f"GVM is not known; above {plain(limit.value)} kg the report is due."
    elif limit.crossed(gvm):
        need = "required"
        text = (
            f"GVM of {beside(gvm, limit.value, 0)} kg is more than {plain(limit.value)} kg: the certifier "
            "drives the vehicle and reports on its handling."
        )
    else:
        need = "not_required"
        text = f"GVM of {beside(gvm, limit.value, 0)} kg is not more than {plain(limit.value)} kg."
    return Requirement(
        code="DRIVING_REPORT",
        title="Driving report on handling",
        need=need,
        reasons=(Reason(text=text, source=limit.cited),),
        undecided=_gvm_gap(category) if gvm is None else (),
        evidence=("The certifier's report on handling, in writing",) if need == "required" else (),
    )


def _inspection(case: Case, lane_change: Requirement) -> Requirement:
    """The check of the brakes, which every drive on a test course asks for."""
    if any(item.kind == "brake_change" for item in case.modifications):
        need, text = "required", "The brakes are modified: adjust and check them before any test drive."
    elif lane_change.need == "not_applicable":
        need, text = "required", "Before the certifier drives it: brakes adjusted and checked."
    else:
        need = lane_change.need
        text = "Before a lane-change test: brakes adjusted and checked with the handbrake, tyre pressures set."
    return Requirement(
        code="BRAKE_CHECK",
        title="Inspection and brake check before the test",
        need=need,
        reasons=(Reason(text=text, source=INSPECTION),),
        undecided=lane_change.undecided if need == "undecided" else (),
        evidence=("Inspection sheet with tyre pressures and brake adjustment",),
    )


def _ride_height(checks: tuple[LimitCheck, ...], case: Case) -> Iterator[Requirement]:
    """Whether the raised vehicle is still within what its jurisdiction leaves uncertified."""
    free = [check for check in checks if check.name.startswith("uncertified.")]
    if not free or not case.modifications:
        return
    over = [check for check in free if check.crossed]
    unknown = [check for check in free if check.crossed is None]
    shown = over or unknown or free
    yield Requirement(
        code="RIDE_HEIGHT",
        title="Certification of ride height, tyres or track",
        need="required" if over else "undecided" if unknown else "not_required",
        reasons=tuple(Reason(text=check.text, source=check.threshold.cited) for check in shown),
        undecided=() if over else tuple(f"{check.quantity}: see the ledger of heights" for check in unknown),
        evidence=("Ride height at each wheel arch before and after",) if over or unknown else (),
    )


def _codes(case: Case, rules: RuleSet) -> Iterator[Requirement]:
    """Sections of VSB 14 that the kinds of modification fall under; the signatory picks the code."""
    for code in rules.codes:
        titles = [KINDS[item.kind].title for item in case.modifications if _falls_under(code, item)]
        if titles:
            yield Requirement(
                code=code.code,
                title=code.title,
                need=code.need,
                reasons=(Reason(text=_code_text(code, titles), source=code.cited),),
                evidence=code.evidence,
            )


def _falls_under(code: Code, item: Modification) -> bool:
    """An axle of the suspension that is left as it was needs no code."""
    axle = code.axle
    return item.kind in code.kinds and (axle is None or item.number(axle) != 0)


def _code_text(code: Code, titles: list[str]) -> str:
    named = ", ".join(dict.fromkeys(titles))
    return f"{named}: {code.note}".rstrip(": ") or named
