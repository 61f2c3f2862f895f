"""The work-up: everything that can be computed for one case, in one go."""

from dataclasses import dataclass

from .as_data import as_data
from .axle_lift import measured_height
from .axles import axle_masses
from .ballast_stock import BallastStock
from .case import Case
from .cg_position import cg_position
from .estimate import PriceBook
from .explain import Working
from .height import ledger
from .height_limits import check_limits
from .loading import loading_for
from .masses import masses_for
from .requirements import requirements
from .resulting import resulting_category
from .rulesets import RuleSet
from .workup_notes import cautions_of, undecided_of, workings_of
from .workup_parts import (
    DEMAND_SPEEDS_KMH,
    Parts,
    course_for,
    demand_for,
    estimate_for,
    seen_and_speeds,
    set_out_for,
    site_for,
    speedometer_for,
    stability_for,
)

__all__ = ["DEMAND_SPEEDS_KMH", "WorkUp", "work_up"]


@dataclass(frozen=True, kw_only=True)
class WorkUp(Parts):
    """Everything computed for one case. Parts that cannot be computed are None or empty."""

    cautions: tuple[str, ...]
    undecided: tuple[str, ...]
    working: tuple[Working, ...]

    def as_dict(self) -> dict[str, object]:
        """The work-up as plain data, floats free of dust: what ``--format json`` prints."""
        return as_data(self, cautions=self.cautions, undecided=self.undecided, working=self.working)


def work_up(
    case: Case,
    *,
    rules: RuleSet,
    prices: PriceBook,
    stock: BallastStock | None = None,
    with_demand: bool = True,
) -> WorkUp:
    """Compute everything for one case.

    Parameters
    ----------
    case : Case
        Lengths [mm], masses [kg]
    rules : RuleSet
        The rules of its jurisdiction
    prices : PriceBook
        The workshop's prices [AUD]
    stock : BallastStock or None
        The ballast to plan the loading with [kg]; None leaves the loading plans out
    with_demand : bool
        False leaves out the linear programme of the manoeuvre demand and what follows from it,
        the outlook and the lower first speed for small margins [-]

    Returns
    -------
    WorkUp
        What is missing is named in ``undecided``

    Example
    -------
    >>> from vehicles.reference import price_book, rule_set
    >>> from .example import example_case
    >>> done = work_up(example_case(), rules=rule_set("NSW"), prices=price_book(), with_demand=False)
    >>> done.requirement("LT2").need, round(done.masses.tm2_kg, 2)
    ('required', 2621.54)

    Source: each part names its own.
    """
    category = resulting_category(case, rules=rules)
    height = ledger(case)
    needs = requirements(case=case, rules=rules, category=category, height=height)
    masses = masses_for(case, rules=rules, category=category)
    axles = axle_masses(case, masses=masses)
    loading = loading_for(case, masses=masses, axles=axles, category=category, stock=stock) if stock else None
    place = cg_position(case, height=measured_height(case), masses=masses, axles=axles, loading=loading)
    stability = stability_for(case, place=place, masses=masses, height=height, loading=loading)
    course = course_for(case.vehicle, rules)
    demands = demand_for(case.vehicle, course=course, rules=rules, category=category) if with_demand else ()
    seen, speeds = seen_and_speeds(demands, stability=stability, rules=rules, category=category, height=height)
    parts = Parts(
        case=case,
        rules=rules,
        category=category,
        height=height,
        limits=check_limits(case=case, rules=rules, height=height),
        requirements=needs,
        masses=masses,
        axles=axles,
        centre_of_gravity=place,
        loading=loading,
        course=course,
        set_out=set_out_for(course),
        site=site_for(course, speeds),
        speeds=speeds,
        speedometer=speedometer_for(height, speeds),
        stability=stability,
        demand=demands,
        outlook=seen,
        estimate=estimate_for(needs, prices, case.vehicle),
    )
    return WorkUp(
        **vars(parts),
        cautions=cautions_of(parts),
        undecided=undecided_of(parts),
        working=workings_of(parts),
    )
