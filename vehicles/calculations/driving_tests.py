"""The lane-change test, the driving report that takes its place, and the check before either."""

from .case import Case
from .category import GVM_GAP, Category
from .explain import Reason
from .lane_change import Finding
from .requirement import TEST, Requirement
from .rulesets import RuleSet
from .wording import beside, plain

LANE_CHANGE, DRIVING_REPORT, BRAKE_CHECK = "LT2", "DRIVING_REPORT", "BRAKE_CHECK"
INSPECTION = "Common practice, no published source"


def lane_change(*, rules: RuleSet, category: Category, finding: Finding) -> Requirement:
    """LT2: what the modifications ask for, up to and including the limit of GVM."""
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
    return Requirement(
        code=LANE_CHANGE,
        title="Lane-change test",
        need=need,
        reasons=(*finding.reasons, Reason(text=text, source=limit.cited)),
        undecided=() if need in ("required", "not_applicable") else undecided,
        leads_to=TEST,
    )


def driving_report(*, rules: RuleSet, category: Category) -> Requirement:
    """The certifier's own drive and report, above the limit of GVM."""
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
        code=DRIVING_REPORT,
        title="Driving report on handling",
        need=need,
        reasons=(Reason(text=text, source=limit.cited),),
        undecided=_gvm_gap(category) if gvm is None else (),
    )


def brake_check(case: Case, drives: tuple[Requirement, Requirement]) -> Requirement:
    """The check of brakes and tyres that every drive asks for: needed as far as a drive is."""
    modified = any(item.kind == "brake_change" for item in case.modifications)
    if modified:
        text = "The brakes are modified: adjust and check them before any test drive."
    else:
        text = "Before a drive: brakes adjusted and checked with the handbrake, tyre pressures set."
    return Requirement(
        code=BRAKE_CHECK,
        title="Inspection and brake check before a drive",
        need="required",
        reasons=(Reason(text=text, source=INSPECTION),),
        undecided=() if modified else tuple(dict.fromkeys(text for line in drives for text in line.undecided)),
        leads_to=TEST,
        follows=() if modified else tuple(line.code for line in drives),
    )


def _gvm_gap(category: Category) -> tuple[str, ...]:
    named = tuple(text for text in category.undecided if "gvm_kg" in text or "to_kg" in text)
    return named or (GVM_GAP,)
