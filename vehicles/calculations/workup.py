"""The work-up: everything that can be computed for one case, in one go."""

from dataclasses import dataclass

from .axles import AxleMasses, axle_masses
from .case import Case, Vehicle
from .category import Category
from .cautions import cautions_for
from .course import Course, lay_out
from .estimate import Estimate, PriceBook, estimate
from .explain import Working
from .height import HeightLedger, ledger
from .height_limits import LimitCheck, check_limits
from .ladder_for import Speeds, speeds_for
from .manoeuvre import CAUTION as DEMAND_CAUTION
from .manoeuvre import Demand, demand
from .masses import Masses, masses_for
from .requirement import Requirement
from .requirements import requirements
from .resulting import resulting_category
from .rulesets import RuleSet
from .stability import Stability, for_masses

LOWEST_DEMAND_KMH = 60
DEMAND_SPEEDS_KMH = (60, 70, 80, 90, 100, 110)
ASKED_FOR = ("required", "discretionary", "undecided")


@dataclass(frozen=True, kw_only=True)
class WorkUp:
    """Everything computed for one case. Parts that cannot be computed are None or empty."""

    case: Case
    rules: RuleSet
    category: Category
    height: HeightLedger
    limits: tuple[LimitCheck, ...]
    requirements: tuple[Requirement, ...]
    masses: Masses
    axles: AxleMasses
    course: Course | None
    speeds: Speeds
    stability: tuple[Stability, Stability]
    demand: tuple[Demand, ...]
    estimate: Estimate
    cautions: tuple[str, ...]
    undecided: tuple[str, ...]
    working: tuple[Working, ...]

    def requirement(self, code: str) -> Requirement:
        """The requirement by its code."""
        return next(item for item in self.requirements if item.code == code)

    def as_dict(self) -> dict[str, object]:
        """The work-up as plain data, floats free of dust: what ``--format json`` prints."""
        from .as_data import as_data

        return as_data(self)


def work_up(case: Case, *, rules: RuleSet, prices: PriceBook, with_demand: bool = True) -> WorkUp:
    """Compute everything for one case.

    Parameters
    ----------
    case : Case
        Lengths [mm], masses [kg]
    rules : RuleSet
        The rules of its jurisdiction
    prices : PriceBook
        The workshop's prices [AUD]
    with_demand : bool
        False leaves out the linear programme of the manoeuvre demand, the only slow part [-]

    Returns
    -------
    WorkUp
        What is missing is named in ``undecided``

    Source: each part names its own.
    """
    category = resulting_category(case, rules=rules)
    height = ledger(case)
    needs = requirements(case=case, rules=rules, category=category, height=height)
    masses = masses_for(case, rules=rules, category=category)
    axles = axle_masses(case, masses=masses)
    speeds = speeds_for(rules=rules, category=category, height=height)
    course = _course(case.vehicle, rules)
    stability = for_masses(case=case, masses=masses, height=height)
    demands = _demand(case.vehicle, course, speeds) if with_demand else ()
    cost = _estimate(needs, prices, case.vehicle)
    return WorkUp(
        case=case,
        rules=rules,
        category=category,
        height=height,
        limits=check_limits(case=case, rules=rules, height=height),
        requirements=needs,
        masses=masses,
        axles=axles,
        course=course,
        speeds=speeds,
        stability=stability,
        demand=demands,
        estimate=cost,
        cautions=_unique(
            cautions_for(case=case, rules=rules, category=category, height=height, target_kmh=speeds.target_kmh),
            masses.cautions,
            axles.cautions,
            speeds.cautions,
            _not_applicable(needs),
            course.cautions if course else (),
            (DEMAND_CAUTION,) if demands else (),
        ),
        undecided=_unique(
            category.undecided,
            height.undecided,
            *(item.undecided for item in needs),
            masses.undecided,
            axles.undecided,
            speeds.undecided,
            _body_unknown(case.vehicle),
            *(item.undecided for item in stability),
            cost.undecided,
        ),
        working=(
            *height.workings,
            *masses.workings,
            *speeds.workings,
            *(course.workings if course else ()),
            *(working for item in stability for working in item.workings),
            *cost.workings,
        ),
    )


def _unique(*groups: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for group in groups for text in group))


def _course(vehicle: Vehicle, rules: RuleSet) -> Course | None:
    if vehicle.overall_width_mm is None:
        return None
    return lay_out(
        width_mm=vehicle.overall_width_mm,
        offset_m=rules.value("course.offset_m"),
        datum=rules.settings["course.datum"].value,
    )


def _body_unknown(vehicle: Vehicle) -> tuple[str, ...]:
    wanted = {
        "vehicle.overall_width_mm: measure it, the course and the demand follow from it": vehicle.overall_width_mm,
        "vehicle.overall_length_mm: measure it, the demand follows from it": vehicle.overall_length_mm,
    }
    return tuple(text for text, value in wanted.items() if value is None)


def _demand(vehicle: Vehicle, course: Course | None, speeds: Speeds) -> tuple[Demand, ...]:
    """Demand at each rung and at every ten from 60; without a target at the usual speeds."""
    if course is None or vehicle.overall_length_mm is None:
        return ()
    target = speeds.target_kmh
    if target is None:
        chosen = list(DEMAND_SPEEDS_KMH)
    else:
        chosen = sorted({*range(LOWEST_DEMAND_KMH, target + 1, 10), *speeds.ladder_kmh})
    overhang, wheelbase = vehicle.front_overhang_mm, vehicle.wheelbase_mm
    return demand(
        width_m=course.overall_width_m,
        length_m=vehicle.overall_length_mm / 1000,
        speeds_kmh=chosen,
        course=course,
        front_overhang_m=None if overhang is None else overhang / 1000,
        wheelbase_m=None if wheelbase is None else wheelbase / 1000,
    )


def _need(needs: tuple[Requirement, ...], code: str) -> str:
    return next(item.need for item in needs if item.code == code)


def _estimate(needs: tuple[Requirement, ...], prices: PriceBook, vehicle: Vehicle) -> Estimate:
    """The cost with everything that is asked for or may yet be: an estimate errs upwards."""
    return estimate(
        prices=prices,
        needs_lane_change=_need(needs, "LT2") in ASKED_FOR,
        needs_driving_report=_need(needs, "DRIVING_REPORT") == "required",
        market_value_aud=vehicle.market_value_aud,
    )


def _not_applicable(needs: tuple[Requirement, ...]) -> tuple[str, ...]:
    if _need(needs, "LT2") != "not_applicable":
        return ()
    return ("No lane-change test at this GVM: course, speeds and demand are for comparison, not for a test plan.",)
