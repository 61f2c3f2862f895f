"""What each axle carries at both test masses: moments about the axles."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .case import Case
from .explain import Working
from .masses import Masses
from .ranges import VEHICLE, Range
from .rulesets import DUST
from .wording import fixed

# A load that is taken out counts as negative.
LOAD = Range(name="mass_kg", label="Mass of a load", low=-12_000, high=12_000, unit="kg")
PLACE = Range(name="x_mm", label="Place behind the front axle", low=-2_000, high=8_000, unit="mm")
# Load: the measurement of its place, and how a person finds it.
PLACES = {
    "fuel": ("fuel_x_mm", "the middle of the tank"),
    "driver": ("driver_x_mm", "the hip of the driver"),
    "instruments": ("instruments_x_mm", "instruments and replaced equipment"),
    "seats": ("seats_x_mm", "the centre of the seat ballast"),
    "luggage": ("luggage_x_mm", "the middle of the luggage area"),
    "goods": ("goods_x_mm", "the middle of the goods area"),
}


@dataclass(frozen=True, kw_only=True)
class AxleMass:
    """What one axle carries [kg] and what it may; None is undecided."""

    axle: str
    rating_kg: float | None
    empty_kg: float | None
    tm1_kg: float | None
    tm2_kg: float | None
    tm1_margin_kg: float | None
    tm2_margin_kg: float | None
    within_rating: bool | None


@dataclass(frozen=True, kw_only=True)
class AxleMasses:
    """Both axles, with what to measure and what to watch.

    ``tm1_gaps`` is what to measure before the axle masses at Test Mass 1 are known, whether or
    not there is a rating to hold them against.
    """

    front: AxleMass
    rear: AxleMass
    tm1_gaps: tuple[str, ...]
    undecided: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...] = ()


def shares_kg(*, mass_kg: float, x_mm: float, wheelbase_mm: float) -> tuple[float, float]:
    """What a load puts on each axle: ``rear = m x / L``, ``front = m − rear``.

    Parameters
    ----------
    mass_kg : float
        Mass of the load, negative when it is taken out [kg]
    x_mm : float
        Its distance behind the front axle, negative ahead of it [mm]
    wheelbase_mm : float
        Wheelbase L [mm]

    Returns
    -------
    tuple of float
        Front and rear share [kg]; a load behind the rear axle takes mass off the front one

    Raises
    ------
    CalculationError
        When wheelbase, mass or place is outside what a light vehicle has.

    Examples
    --------
    >>> front, rear = shares_kg(mass_kg=200, x_mm=3050, wheelbase_mm=2750)
    >>> round(front, 1), round(rear, 1)
    (-21.8, 221.8)

    Source: statics, moments about the front axle.
    """
    VEHICLE["wheelbase_mm"].check(wheelbase_mm)
    LOAD.check(mass_kg)
    PLACE.check(x_mm)
    rear = mass_kg * x_mm / wheelbase_mm
    return mass_kg - rear, rear


def axle_masses(case: Case, *, masses: Masses) -> AxleMasses:
    """Axle masses at both test masses: as weighed, plus each load's share by its place.

    Parameters
    ----------
    case : Case
        Axles as weighed and their ratings [kg], wheelbase and places of the loads [mm]
    masses : Masses
        The loads [kg]

    Returns
    -------
    AxleMasses
        [kg]; undecided where a place or a mass is not known

    Notes
    -----
    Axles that do not add up to the empty mass exactly are scaled to it, so that front and rear
    together are the test mass. A load of no mass needs no place.

    Example
    -------
    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> found = axle_masses(done.case, masses=done.masses)
    >>> round(found.front.tm2_kg, 1), round(found.rear.tm2_kg, 1)
    (1266.6, 1354.9)

    Source: statics.
    """
    gaps: list[str] = []
    more: list[str] = []
    empty = _empty(case)
    first = _loaded(case, empty, _first_loads(masses), gaps)
    second = _loaded(case, first, _second_loads(masses), more)
    weigh = () if empty else ("vehicle.front_axle_kg, vehicle.rear_axle_kg: weigh each axle by itself",)
    vehicle = case.vehicle
    front = _axle("front", 0, vehicle.front_axle_rating_kg, (empty, first, second))
    rear = _axle("rear", 1, vehicle.rear_axle_rating_kg, (empty, first, second))
    return AxleMasses(
        front=front,
        rear=rear,
        tm1_gaps=(*gaps, *weigh),
        undecided=tuple(dict.fromkeys((*gaps, *more, *weigh, *_unrated(case)))),
        cautions=tuple(text for axle in (front, rear) for text in _overloads(axle)),
        workings=(
            *_explained(case, "Test Mass 1", empty, first, _first_loads(masses)),
            *_explained(case, "Test Mass 2", first, second, _second_loads(masses)),
        ),
    )


def _explained(
    case: Case,
    mass: str,
    before: tuple[float, float] | None,
    after: tuple[float, float] | None,
    loads: dict[str, float | None],
) -> Iterator[Working]:
    """How both axles came about at one mass, where they are known."""
    if before is None or after is None:
        return
    told = {name: f"{kg:.1f} kg at {case.place_mm(PLACES[name][0]):g} mm" for name, kg in loads.items() if kg}
    for index, (axle, formula) in enumerate((("front", "before + Σ m (1 − x / L)"), ("rear", "before + Σ m x / L"))):
        yield Working(
            quantity=f"Axle masses: {axle} at {mass}",
            formula=formula,
            inputs={"before": f"{before[index]:.1f} kg", "L": f"{case.vehicle.wheelbase_mm:g} mm", **told},
            value=after[index],
            unit="kg",
            source="statics, moments about the front axle",
        )


def _unrated(case: Case) -> tuple[str, ...]:
    ratings = {"front": case.vehicle.front_axle_rating_kg, "rear": case.vehicle.rear_axle_rating_kg}
    return tuple(
        f"vehicle.{axle}_axle_rating_kg: read it from the axle or the handbook, without it nobody knows whether the "
        "axle is overloaded"
        for axle, rating in ratings.items()
        if rating is None
    )


def _empty(case: Case) -> tuple[float, float] | None:
    vehicle = case.vehicle
    front, rear, empty = vehicle.front_axle_kg, vehicle.rear_axle_kg, vehicle.empty_mass_kg
    if front is None or rear is None:
        return None
    scale = 1.0 if empty is None else empty / (front + rear)
    return front * scale, rear * scale


def _first_loads(masses: Masses) -> dict[str, float | None]:
    driver, ballast = masses.driver_kg, masses.driver_ballast_kg
    return {
        "fuel": masses.fuel_added_kg,
        "driver": None if driver is None or ballast is None else driver + ballast,
        "instruments": masses.instruments_kg + masses.missing_equipment_kg,
    }


def _second_loads(masses: Masses) -> dict[str, float | None]:
    return {
        "seats": masses.seat_ballast_kg,
        "luggage": masses.luggage_ballast_kg,
        "goods": masses.goods_ballast_kg,
    }


def _loaded(
    case: Case, start: tuple[float, float] | None, loads: dict[str, float | None], undecided: list[str]
) -> tuple[float, float] | None:
    """The axles with the loads aboard; names every place that is missing."""
    wheelbase = case.vehicle.wheelbase_mm
    complete = start is not None and wheelbase is not None
    if wheelbase is None:
        undecided.append("vehicle.wheelbase_mm: measure it, axle masses follow from it")
    front, rear = start or (0.0, 0.0)
    for name, mass in loads.items():
        key, place = PLACES[name]
        x_mm = case.place_mm(key)
        if mass and x_mm is None:
            undecided.append(f"places.{key}: measure how far {place} lies behind the front axle")
        if mass is None or wheelbase is None or (mass and x_mm is None):
            complete = False
            continue
        shares = shares_kg(mass_kg=mass, x_mm=x_mm or 0.0, wheelbase_mm=wheelbase)
        front, rear = front + shares[0], rear + shares[1]
    return (front, rear) if complete else None


def _axle(name: str, index: int, rating: float | None, stages: Sequence[tuple[float, float] | None]) -> AxleMass:
    empty, first, second = (None if stage is None else stage[index] for stage in stages)
    margins = [None if mass is None or rating is None else rating - mass for mass in (empty, first, second)]
    known = [margin for margin in margins if margin is not None]
    over = any(margin < -DUST for margin in known)
    return AxleMass(
        axle=name,
        rating_kg=rating,
        empty_kg=empty,
        tm1_kg=first,
        tm2_kg=second,
        tm1_margin_kg=margins[1],
        tm2_margin_kg=margins[2],
        within_rating=False if over else True if len(known) == len(margins) else None,
    )


def _overloads(axle: AxleMass) -> Sequence[str]:
    stages = (("empty", axle.empty_kg), ("at Test Mass 1", axle.tm1_kg), ("at Test Mass 2", axle.tm2_kg))
    rating = axle.rating_kg
    return [
        f"The {axle.axle} axle carries {fixed(mass)} kg {stage}, {fixed(mass - rating)} kg more than its rating."
        for stage, mass in stages
        if mass is not None and rating is not None and mass - rating > DUST
    ]
