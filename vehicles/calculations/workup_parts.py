"""The parts of a work-up, and those of them that take a line or two to put together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .axles import AxleMasses
from .case import Case, Vehicle
from .category import Category
from .cg_position import CgPosition
from .course import Course, lay_out
from .estimate import Estimate, PriceBook, estimate
from .height import HeightLedger
from .height_limits import LimitCheck
from .ladder_for import Speeds, speeds_for
from .load_heights import MEASURED_ERROR_MM
from .loading import Loading
from .manoeuvre import Demand, demand
from .masses import Masses
from .outlook import Outlook, outlook, small_margins
from .requirement import Requirement
from .rulesets import RuleSet
from .setout import SetOut
from .setout import sheet as set_out_sheet
from .site_needs import SiteNeeds, site_needs
from .speedometer import Speedometer, speedometer
from .stability import Stability, for_masses

LOWEST_DEMAND_KMH = 60
DEMAND_SPEEDS_KMH = (60, 70, 80, 90, 100, 110)
ASKED_FOR = ("required", "discretionary", "undecided")
Both = tuple[Stability, Stability]


@dataclass(frozen=True, kw_only=True)
class Parts:
    """What is computed for one case, before cautions, gaps and workings are gathered from it."""

    case: Case
    rules: RuleSet
    category: Category
    height: HeightLedger
    limits: tuple[LimitCheck, ...]
    requirements: tuple[Requirement, ...]
    masses: Masses
    axles: AxleMasses
    centre_of_gravity: CgPosition
    loading: Loading | None
    course: Course | None
    set_out: SetOut | None
    site: SiteNeeds | None
    speeds: Speeds
    speedometer: Speedometer | None
    stability: Both
    demand: tuple[Demand, ...]
    outlook: Outlook | None
    estimate: Estimate

    def requirement(self, code: str) -> Requirement:
        """The requirement by its code."""
        return need(self.requirements, code)


def need(needs: Sequence[Requirement], code: str) -> Requirement:
    """The requirement by its code.

    Parameters: requirements and a code [-]. Returns: the one of that code.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> need(done.requirements, "LT2").title
    'Lane-change test'

    Source: our own format.
    """
    return next(item for item in needs if item.code == code)


def course_for(vehicle: Vehicle, rules: RuleSet) -> Course | None:
    """The course by the rules' offset and datum, None while the width is not known.

    Parameters: the vehicle [mm] and its rules. Returns: Course [m].

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> course_for(done.case.vehicle, done.rules).length_m
    125.0

    Source: see ``course``.
    """
    if vehicle.overall_width_mm is None:
        return None
    return lay_out(
        width_mm=vehicle.overall_width_mm,
        offset_m=rules.value("course.offset_m"),
        datum=rules.settings["course.datum"].value,
    )


def set_out_for(course: Course | None) -> SetOut | None:
    """The set-out sheet of the course.

    Parameters: the course [m]. Returns: SetOut [m], None without a course.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> len(set_out_for(done.course).marks), set_out_for(None)
    (18, None)

    Source: see ``setout``.
    """
    return None if course is None else set_out_sheet(course=course)


def site_for(course: Course | None, speeds: Speeds) -> SiteNeeds | None:
    """What a site must offer at the target speed, None while course or target is undecided.

    Parameters: the course [m], the speeds [km/h]. Returns: SiteNeeds [m].

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> site_for(done.course, done.speeds).speed_kmh
    110

    Source: see ``site_needs``.
    """
    if course is None or speeds.target_kmh is None:
        return None
    return site_needs(course=course, speed_kmh=speeds.target_kmh)


def speedometer_for(height: HeightLedger, speeds: Speeds) -> Speedometer | None:
    """What the speedometer shows on the ladder, None without a known change of tyres.

    Parameters: the height ledger [mm], the speeds [km/h]. Returns: Speedometer [km/h].

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> [row.true_kmh for row in speedometer_for(done.height, done.speeds).ladder]
    [80.0, 90.0, 100.0, 110.0]

    Source: see ``speedometer``.
    """
    if height.tyres is None:
        return None
    return speedometer(change=height.tyres, speeds_kmh=speeds.ladder_kmh)


def stability_for(
    case: Case, *, place: CgPosition, masses: Masses, height: HeightLedger, loading: Loading | None
) -> Both:
    """Stability from the measured height and side with their error, and with the ballast where it is planned.

    Parameters: the case, its places [mm], masses [kg], height [mm] and loading. Returns:
    Stability at both masses.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> found = stability_for(done.case, place=done.centre_of_gravity, masses=done.masses, height=done.height,
    ...                       loading=done.loading)
    >>> found == done.stability
    True

    Source: see ``stability``.
    """
    vehicle, measured = case.vehicle, place.height
    overall, error = vehicle.overall_height_mm, measured.error_mm
    return for_masses(
        case=replace(case, vehicle=replace(vehicle, cg_height_mm=measured.height_mm)),
        masses=masses,
        height=height,
        cg_error_mm=MEASURED_ERROR_MM if error is None else error,
        ballast=None if loading is None or overall is None else loading.as_load(overall),
        left_of_middle_mm={at.mass: at.left_of_middle_mm for at in place.positions},
    )


def demand_for(vehicle: Vehicle, *, course: Course | None, rules: RuleSet, category: Category) -> tuple[Demand, ...]:
    """Demand at every ten from 60 up to the target; without a target at the usual speeds.

    Parameters: the vehicle [mm], course [m], rules and category. Returns: Demand [g] at each
    speed [km/h].

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> asked = {"course": done.course, "rules": done.rules, "category": done.category}
    >>> [one.speed_kmh for one in demand_for(done.case.vehicle, **asked)]
    [60, 70, 80, 90, 100, 110]

    Source: see ``manoeuvre``.
    """
    if course is None or vehicle.overall_length_mm is None:
        return ()
    chosen: Sequence[int] = DEMAND_SPEEDS_KMH
    if category.passenger is not None:
        chosen = _demand_speeds(rules, passenger=category.passenger)
    overhang, wheelbase = vehicle.front_overhang_mm, vehicle.wheelbase_mm
    return demand(
        width_m=course.overall_width_m,
        length_m=vehicle.overall_length_mm / 1000,
        speeds_kmh=chosen,
        course=course,
        front_overhang_m=None if overhang is None else overhang / 1000,
        wheelbase_m=None if wheelbase is None else wheelbase / 1000,
    )


def _demand_speeds(rules: RuleSet, *, passenger: bool) -> list[int]:
    """Every ten, and every rung of either ladder, whichever first speed it will begin with."""
    target = int(rules.value("speed.target_passenger_kmh" if passenger else "speed.target_other_kmh"))
    step = int(rules.value("speed.step_kmh"))
    firsts = [int(rules.value(name)) for name in ("speed.first_max_kmh", "speed.first_max_high_lift_kmh")]
    rungs = {speed for first in firsts for speed in range(first, target, step)}
    return sorted({*range(LOWEST_DEMAND_KMH, target + 1, 10), *rungs, target})


def seen_and_speeds(
    demands: Sequence[Demand], *, stability: Both, rules: RuleSet, category: Category, height: HeightLedger
) -> tuple[Outlook | None, Speeds]:
    """The outlook, and the ladder that begins lower when it finds small margins.

    Parameters: demands and stability [g], rules, category and height [mm]. Returns: Outlook,
    Speeds [km/h].

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> parts = {"rules": done.rules, "category": done.category, "height": done.height}
    >>> seen, speeds = seen_and_speeds((), stability=done.stability, **parts)
    >>> seen, speeds.ladder_kmh
    (None, (80, 90, 100, 110))

    Source: see ``outlook`` and ``ladder_for``.
    """
    usual = speeds_for(rules=rules, category=category, height=height)
    if not demands:
        return None, usual
    seen = outlook(demands=demands, stability=stability, first_max_kmh=usual.first_max_kmh)
    reason = small_margins(seen, first_max_kmh=usual.first_max_kmh)
    if reason is None:
        return seen, usual
    lower = speeds_for(rules=rules, category=category, height=height, small_margins=reason)
    return outlook(demands=demands, stability=stability, first_max_kmh=lower.first_max_kmh), lower


def estimate_for(needs: Sequence[Requirement], prices: PriceBook, vehicle: Vehicle) -> Estimate:
    """The cost with everything that is asked for or may yet be: an estimate errs upwards.

    Parameters: requirements, prices [AUD] and the vehicle. Returns: Estimate [AUD].

    >>> from vehicles.reference import price_book, worked_example
    >>> done = worked_example()
    >>> estimate_for(done.requirements, price_book(), done.case.vehicle) == done.estimate
    True

    Source: see ``estimate``.
    """
    return estimate(
        prices=prices,
        needs_lane_change=need(needs, "LT2").need in ASKED_FOR,
        needs_driving_report=need(needs, "DRIVING_REPORT").need == "required",
        market_value_aud=vehicle.market_value_aud,
    )
