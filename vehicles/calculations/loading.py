"""The loading plans that bring a vehicle from its empty mass to both test masses."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from .axles import AxleMasses, shares_kg
from .ballast import Axles, Piece, Place, Plan, plan
from .ballast_stock import BallastStock
from .case import Case
from .category import Category
from .explain import Working
from .load_heights import SHARE_ERROR, Load
from .loading_places import ASSUMED, Room, places_tm1, places_tm2
from .masses import Masses
from .ranges import VEHICLE
from .rulesets import DUST
from .run_record import MASSES
from .wording import fixed

SOURCE = "integer programme over the stock; moments about the axles"
# Less is within what scales and fuel gauge leave open.
NOTICED_OVER_KG = 5.0
SECURED = "Ballast is secured at each place for the forces given, on the floor where possible."
WEIGH = "Weigh both axles after loading: the plan rests on assumed and measured places."


@dataclass(frozen=True, kw_only=True)
class MassLoading:
    """What to load for one test mass. ``target_kg`` of 0 needs nothing, None is undecided.

    Without a plan ``reasons`` says why there is none, or ``undecided`` what to measure.
    """

    mass: str
    target_kg: float | None
    places: tuple[Place, ...]
    plan: Plan | None
    reasons: tuple[str, ...]
    undecided: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    workings: tuple[Working, ...]


@dataclass(frozen=True, kw_only=True)
class Loading:
    """Both loadings, from one stock."""

    tm1: MassLoading
    tm2: MassLoading
    stock: BallastStock
    assumed: str = ASSUMED

    def as_load(self, overall_height_mm: float) -> Load | None:
        """The ballast of Test Mass 2 as planned, for the height of the centre of gravity."""
        found = self.tm2.plan
        if found is None or found.height_mm is None:
            return None
        return Load(mass_kg=found.mass_kg, height_mm=found.height_mm, error_mm=SHARE_ERROR * overall_height_mm)


def loading_for(case: Case, *, masses: Masses, axles: AxleMasses, category: Category, stock: BallastStock) -> Loading:
    """Plans for Test Mass 1 (driver's ballast, replaced equipment) and Test Mass 2, from one stock.

    Parameters
    ----------
    case : Case
        Places of the loads, rows of seats, overall width and height [mm]
    masses, axles : Masses, AxleMasses
        The test masses and what the axles carry at Test Mass 1 [kg]
    category : Category
        Resulting category, seats and GVM [kg]
    stock : BallastStock
        Pieces and what a place may carry [kg]

    Returns
    -------
    Loading
        Each loading with its plan, or with what stands in its way

    Notes
    -----
    What Test Mass 1 took from the stock stays aboard; what it is over its target counts towards
    Test Mass 2. A passenger vehicle stays within its GVM at both masses. A vehicle for goods has the
    GVM itself as Test Mass 2, and the closest loading from above may be over it by less than the
    smallest pieces: a caution says so, for each mass. A mass that is above the GVM by itself gets
    no plan. The least loading that reaches a target is also the one that stays below the GVM
    wherever any does.

    Example
    -------
    >>> from vehicles.reference import ballast_stock, worked_example
    >>> done = worked_example()
    >>> parts = {"masses": done.masses, "axles": done.axles, "category": done.category}
    >>> found = loading_for(done.case, stock=ballast_stock(), **parts)
    >>> found.tm1.target_kg, found.tm2.target_kg, found.tm2.plan.mass_kg
    (0.0, 328.0, 328.0)

    Source: see ``ballast`` and ``loading_places``.
    """
    first = _first(case, masses, axles, category, stock)
    left = stock if first.plan is None else replace(stock, pieces=tuple(_left(stock, first.plan)))
    second = _second(case, masses, axles, category, left, first)
    return Loading(tm1=first, tm2=second, stock=stock)


def _first(case: Case, masses: Masses, axles: AxleMasses, category: Category, stock: BallastStock) -> MassLoading:
    room = places_tm1(case, masses=masses, most_kg=stock.most_kg)
    target = None if masses.driver_ballast_kg is None else sum((place.share_kg for place in room.places), 0.0)
    if target is None:
        return _none("tm1", target, undecided=masses.undecided)
    if target <= DUST:
        return _none("tm1", target)
    if reasons := _too_heavy("tm1", masses.tm1_kg, masses.gvm_kg):
        return _none("tm1", target, reasons=reasons)
    before = _before(case, axles, room.places)
    if before is None or room.undecided:
        return _none("tm1", target, undecided=(*room.undecided, *axles.tm1_gaps))
    if reasons := _no_axles(before):
        return _none("tm1", target, reasons=reasons)
    # Never None here: the shares and the axles at Test Mass 1 are known.
    aboard = (masses.tm1_kg or 0.0) - target
    most = _most_kg(category, aboard, masses.gvm_kg)
    found = plan(target_kg=target, stock=stock.pieces, places=room.places, axles=before, most_kg=most)
    return _planned("tm1", target, room, found, gvm_over_kg=_over_gvm(aboard + found.mass_kg, masses.gvm_kg))


def _too_heavy(mass: str, mass_kg: float | None, gvm_kg: float | None) -> tuple[str, ...]:
    if mass_kg is None or gvm_kg is None or mass_kg <= gvm_kg + DUST:
        return ()
    return (f"{MASSES[mass]} is {fixed(mass_kg - gvm_kg)} kg above the GVM: there is no loading to drive with.",)


def _most_kg(category: Category, aboard_kg: float, gvm_kg: float | None) -> float | None:
    """What the ballast may weigh: a passenger vehicle is never loaded above its GVM."""
    return gvm_kg - aboard_kg if gvm_kg is not None and category.passenger else None


def _before(case: Case, axles: AxleMasses, places: Sequence[Place]) -> Axles | None:
    """The axles at Test Mass 1 without what these places are to carry."""
    front, rear, wheelbase = axles.front.tm1_kg, axles.rear.tm1_kg, case.vehicle.wheelbase_mm
    if front is None or rear is None or wheelbase is None:
        return None
    for place in places:
        shares = shares_kg(mass_kg=place.share_kg, x_mm=place.x_mm, wheelbase_mm=wheelbase)
        front, rear = front - shares[0], rear - shares[1]
    return Axles(
        wheelbase_mm=wheelbase,
        front_kg=front,
        rear_kg=rear,
        front_rating_kg=axles.front.rating_kg,
        rear_rating_kg=axles.rear.rating_kg,
    )


def _no_axles(before: Axles) -> tuple[str, ...]:
    """Axle masses that no vehicle has: a place must have been measured wrongly."""
    found = (("front", before.front_kg), ("rear", before.rear_kg))
    return tuple(
        f"Before loading the {axle} axle would carry {fixed(kg)} kg: check where the loads lie."
        for axle, kg in found
        if not VEHICLE[f"{axle}_axle_kg"].low <= kg <= VEHICLE[f"{axle}_axle_kg"].high
    )


def _left(stock: BallastStock, used: Plan) -> Iterator[Piece]:
    for piece in stock.pieces:
        taken = sum(put.count for put in used.puts if put.piece == piece.key)
        yield replace(piece, count=piece.count - taken)


def _second(
    case: Case, masses: Masses, axles: AxleMasses, category: Category, stock: BallastStock, first: MassLoading
) -> MassLoading:
    tm1, tm2, gvm = masses.tm1_kg, masses.tm2_kg, masses.gvm_kg
    if tm1 is None or tm2 is None:
        return _none("tm2", None, undecided=masses.undecided)
    aboard = tm1 + (0.0 if first.plan is None else first.plan.over_kg)
    target = max(0.0, tm2 - aboard)
    if reasons := _too_heavy("tm2", tm2, gvm):
        return _none("tm2", target, reasons=reasons)
    if target <= DUST:
        # The pieces of Test Mass 1 stay aboard: with nothing more to load they may still be too much.
        return _none("tm2", target, cautions=_cautions("tm2", aboard - tm2, _over_gvm(aboard, gvm)))
    room = places_tm2(case, masses=masses, category=category, most_kg=stock.most_kg)
    before = _before(case, axles, ())
    if before is None or room.undecided:
        return _none("tm2", target, undecided=(*room.undecided, *axles.tm1_gaps))
    if first.plan is not None:
        before = replace(before, front_kg=first.plan.front_axle_kg, rear_kg=first.plan.rear_axle_kg)
    if reasons := _no_axles(before):
        return _none("tm2", target, reasons=reasons)
    most = _most_kg(category, aboard, gvm)
    found = plan(target_kg=target, stock=stock.pieces, places=room.places, axles=before, most_kg=most)
    return _planned("tm2", target, room, found, gvm_over_kg=_over_gvm(aboard + found.mass_kg, gvm))


def _over_gvm(loaded_kg: float, gvm_kg: float | None) -> float:
    return 0.0 if gvm_kg is None else max(0.0, loaded_kg - gvm_kg)


def _cautions(mass: str, over_kg: float, gvm_over_kg: float) -> tuple[str, ...]:
    found: tuple[str, ...] = ()
    if over_kg > NOTICED_OVER_KG:
        found += (
            f"The loading to {MASSES[mass]} is {fixed(over_kg)} kg over its target, the pieces in stock come no "
            "closer: masses, axles and stability are told for the target. Smaller pieces mend it.",
        )
    if gvm_over_kg > DUST:
        found += (
            f"The loading to {MASSES[mass]} is {fixed(gvm_over_kg, 2)} kg above the GVM, no pieces in stock come "
            "closer from above: drain as much fuel or take as much out before driving.",
        )
    return found


def _none(
    mass: str,
    target: float | None,
    *,
    reasons: tuple[str, ...] = (),
    undecided: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
) -> MassLoading:
    return MassLoading(
        mass=mass,
        target_kg=target,
        places=(),
        plan=None,
        reasons=reasons,
        undecided=tuple(dict.fromkeys(undecided)),
        cautions=cautions,
        notes=(),
        workings=(),
    )


def _planned(mass: str, target: float, room: Room, found: Plan, *, gvm_over_kg: float = 0.0) -> MassLoading:
    cautions: tuple[str, ...] = ()
    if found.feasible:
        cautions = (SECURED, WEIGH, *_cautions(mass, found.over_kg, gvm_over_kg))
    return MassLoading(
        mass=mass,
        target_kg=target,
        places=room.places,
        plan=found if found.feasible else None,
        reasons=tuple(f"{MASSES[mass]}: {reason}." for reason in found.reasons),
        undecided=found.undecided,
        cautions=cautions,
        notes=room.notes,
        workings=tuple(_workings(mass, found)) if found.feasible else (),
    )


def _workings(mass: str, found: Plan) -> Iterator[Working]:
    yield Working(
        quantity=f"Ballast at {MASSES[mass]}",
        formula="least Σ n m that is at least the target, then spread evenly, then low, then in few pieces",
        inputs={
            "target": f"{fixed(found.target_kg, 2)} kg",
            **{f"{put.place}, {put.piece}": f"{put.count}" for put in found.puts},
        },
        value=found.mass_kg,
        unit="kg",
        source=SOURCE,
    )
    for axle, value in (("Front", found.front_axle_kg), ("Rear", found.rear_axle_kg)):
        yield Working(
            quantity=f"{axle} axle at {MASSES[mass]} as loaded",
            formula="axle before + Σ m x / L" if axle == "Rear" else "axle before + Σ m (1 − x / L)",
            inputs={place: f"{kg:g} kg" for place, kg in found.by_place.items() if kg},
            value=value,
            unit="kg",
            source=f"{SOURCE}; {ASSUMED}",
        )
    heaviest = max(found.by_place, key=lambda place: found.by_place[place])
    yield Working(
        quantity=f"Lashing forward at {MASSES[mass]}, heaviest place: {heaviest}",
        formula="0.8 g × m; sideways and rearward 0.5 g × m, upward 0.2 g × m",
        inputs={
            place: f"{found.by_place[place]:g} kg: {held.forward_n:.0f} N" for place, held in found.restraint.items()
        }
        | {"g": "9.80665 m/s²"},
        value=found.restraint[heaviest].forward_n,
        unit="N",
        source=found.restraint[heaviest].source,
    )
