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
    """LT2: what the modifications ask for, up to and including the limit of GVM.

    Parameters
    ----------
    rules : ``lt2.gvm_limit_kg`` [kg]
    category : the resulting category with its GVM [kg]
    finding : what the modifications ask for

    Returns
    -------
    Requirement: the need of the finding; not_applicable above the limit, undecided without a GVM.

    Raises
    ------
    KeyError : rules without the limit; editions are checked for it when they are read.

    Example
    -------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> from .modifications import Modification
    >>> lift = Modification(kind="body_lift", values={"lift_mm": 50})
    >>> case = Case(jurisdiction="NSW", vehicle=Vehicle(gvm_kg=2950, adr_category="MC"), modifications=(lift,))
    >>> rules = rule_set("NSW")
    >>> from .height import ledger
    >>> from .lane_change import judge
    >>> from .resulting import resulting_category
    >>> asked = {"finding": judge(case=case, rules=rules, height=ledger(case))}
    >>> lane_change(rules=rules, category=resulting_category(case, rules=rules), **asked).need
    'required'

    Source: VSB 14, section LT (seen as a quotation), as the rules cite it.
    """
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
    """The certifier's own drive and report, above the limit of GVM.

    Parameters
    ----------
    rules : ``lt2.gvm_limit_kg`` [kg]
    category : the resulting category with its GVM [kg]

    Returns
    -------
    Requirement: required above the limit, not_required up to it, undecided without a GVM.

    Raises
    ------
    KeyError : rules without the limit; editions are checked for it when they are read.

    Example
    -------
    >>> from vehicles.reference import rule_set
    >>> heavy = Category(code="NB1", presented="NB1", gvm_kg=3501, seats=3)
    >>> driving_report(rules=rule_set("NSW"), category=heavy).need
    'required'

    Source: common practice, no published source, as the rules cite it.
    """
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
    """The check of brakes and tyres that every drive asks for: needed as far as a drive is.

    Parameters
    ----------
    case : its modifications [mm, kg]
    drives : the lines of the lane-change test and of the driving report

    Returns
    -------
    Requirement: required with modified brakes, else it follows the two drives.

    Raises
    ------
    Nothing.

    Example
    -------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> report = driving_report(
    ...     rules=rule_set("NSW"), category=Category(code="NB1", presented="NB1", gvm_kg=3501, seats=3)
    ... )
    >>> brake_check(Case(jurisdiction="NSW", vehicle=Vehicle()), (report, report)).follows
    ('DRIVING_REPORT', 'DRIVING_REPORT')

    Source: common practice, no published source.
    """
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
