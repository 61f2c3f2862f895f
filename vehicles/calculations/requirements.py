"""What the modifications call for: tests, reports, codes and evidence, each with its reasons."""

from collections.abc import Iterator
from dataclasses import replace

from .case import Case
from .category import Category
from .consequences import consequences
from .driving_tests import brake_check, driving_report, lane_change
from .evidence import evidence
from .explain import Reason
from .height import HeightLedger
from .height_limits import check_limits
from .lane_change import judge
from .requirement import Requirement, settled
from .ride_height import reduction, ride_height
from .rulesets import RuleSet
from .section_codes import section_codes

# Only these can lead to another category.
CHANGES_CATEGORY = ("seating_change", "body_change", "gvm_upgrade")
PRACTICE = "Common practice, no published source: the resulting category's requirements apply"


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
        The lane-change test (LT2) and the driving report first, what is followed before what
        follows it; need is one of required, discretionary, not_required, not_applicable, undecided

    Notes
    -----
    Unrounded values are compared with each threshold as it is written; only float dust of 1e-9 is
    forgiven. What is not known and would decide gives undecided, with what to measure.

    Examples
    --------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> from .height import ledger
    >>> from .modifications import Modification
    >>> from .resulting import resulting_category
    >>> lift = Modification(kind="body_lift", values={"lift_mm": 25})
    >>> case = Case(jurisdiction="NSW", vehicle=Vehicle(gvm_kg=2950), modifications=(lift,))
    >>> rules = rule_set("NSW")
    >>> category = resulting_category(case, rules=rules)
    >>> lines = requirements(case=case, rules=rules, category=category, height=ledger(case))
    >>> lines[0].code, lines[0].need, lines[0].reasons[0].text
    ('LT2', 'required', 'Body lift of 25.0 mm: any body lift calls for the test.')

    Source: each reason names its own, with the edition.
    """
    drives = (
        lane_change(rules=rules, category=category, finding=judge(case=case, rules=rules, height=height)),
        driving_report(rules=rules, category=category),
    )
    checks = check_limits(case=case, rules=rules, height=height)
    lines = (
        *drives,
        brake_check(case, drives),
        *_category(case, rules, category),
        *reduction(case=case, checks=checks),
        *ride_height(case=case, rules=rules, height=height, checks=checks),
        *section_codes(case, rules),
    )
    to_collect = tuple(evidence(case, rules, {line.code: line for line in lines}))
    return _at_their_need((*(_with_evidence(line, rules) for line in lines), *to_collect))


def _category(case: Case, rules: RuleSet, category: Category) -> Iterator[Requirement]:
    """Whether the requirements of another category come with the modifications."""
    if not any(item.kind in CHANGES_CATEGORY for item in case.modifications):
        return
    changed = category.code != category.presented
    follows = consequences(category=category, rules=rules) if changed and category.code else ()
    yield Requirement(
        code="CATEGORY",
        title="Requirements of another ADR category",
        need="undecided" if category.code is None else "required" if changed else "not_required",
        reasons=(*category.reasons, *follows) or (Reason(text="Undecided.", source=PRACTICE),),
        undecided=category.undecided if category.code is None else (),
    )


def _with_evidence(line: Requirement, rules: RuleSet) -> Requirement:
    return replace(line, evidence=tuple(item.title for item in rules.evidence if line.code in item.follows))


def _at_their_need(lines: tuple[Requirement, ...]) -> tuple[Requirement, ...]:
    """What follows other lines stands where they stand while nobody has decided anything."""
    needs = settled(lines, {})
    return tuple(replace(line, need=needs[line.code]) for line in lines)
