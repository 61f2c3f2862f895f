"""Deciding alone: category, rise and requirements of one case, without masses, course and cost."""

from dataclasses import dataclass

from .case import Case
from .category import Category
from .decided_data import decided
from .height import HeightLedger, ledger
from .height_limits import LimitCheck, check_limits
from .requirement import Requirement
from .requirements import requirements
from .resulting import resulting_category
from .rulesets import RuleSet


@dataclass(frozen=True, kw_only=True)
class Triage:
    """What one case comes to under one set of rules."""

    case: Case
    rules: RuleSet
    category: Category
    height: HeightLedger
    limits: tuple[LimitCheck, ...]
    requirements: tuple[Requirement, ...]

    @property
    def needs(self) -> dict[str, str]:
        """The need of each line by its code."""
        return {line.code: line.need for line in self.requirements}

    @property
    def undecided(self) -> tuple[str, ...]:
        """What has to be known before everything can be decided, each thing once."""
        lines = (item.undecided for item in self.requirements)
        groups = (self.category.undecided, self.height.undecided, *lines)
        return tuple(dict.fromkeys(text for group in groups for text in group))

    def as_dict(self) -> dict[str, object]:
        """As plain data, under the same keys as in the whole work-up."""
        return {**decided(self), "undecided": list(self.undecided)}


def triage(case: Case, *, rules: RuleSet) -> Triage:
    """Decide one case: the part of the work-up that says what is needed.

    Parameters
    ----------
    case : Case
        Lengths [mm], masses [kg]
    rules : RuleSet
        The rules of its jurisdiction

    Returns
    -------
    Triage
        The same lines as in the whole work-up; a test holds them equal

    Examples
    --------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> triage(Case(jurisdiction="NSW", vehicle=Vehicle(gvm_kg=3600)), rules=rule_set("NSW")).needs["LT2"]
    'not_applicable'

    Source: each requirement names its own.
    """
    category = resulting_category(case, rules=rules)
    height = ledger(case)
    return Triage(
        case=case,
        rules=rules,
        category=category,
        height=height,
        limits=check_limits(case=case, rules=rules, height=height),
        requirements=requirements(case=case, rules=rules, category=category, height=height),
    )
