"""Height of the centre of gravity as loads go aboard, and the estimate when it was not measured."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Protocol

from .case import Case
from .errors import CalculationError
from .ranges import VEHICLE

WEIGHING = (
    "cg_height_mm: measure the height of the centre of gravity by an axle-lift weighing "
    "(one axle raised in at least three steps, the other on scales)"
)
ASSUMED = "heights of loads as shares of the overall height: assumption from memory, no published source"
# Height of the centre of each load as a share of the overall height, and how far that may be out.
FUEL, SEATED, ON_FLOOR, LUGGAGE, GOODS = 0.25, 0.48, 0.33, 0.43, 0.47
SHARE_ERROR = 0.08
MEASURED_ERROR_MM = 20.0
# An ordinary vehicle's centre of gravity as a share of its height, and the error of the estimate.
CG_SHARE, CG_SHARE_ERROR = 0.39, 0.04
# How much of the mass goes up with the body on its springs, and with the body off its frame.
SPRUNG, BODY = 0.87, 0.45


class Masses(Protocol):
    """What stability needs of the two test masses [kg]."""

    @property
    def fuel_added_kg(self) -> float | None: ...
    @property
    def tm1_kg(self) -> float | None: ...
    @property
    def tm2_kg(self) -> float | None: ...
    @property
    def seat_ballast_kg(self) -> float | None: ...
    @property
    def luggage_ballast_kg(self) -> float | None: ...
    @property
    def goods_ballast_kg(self) -> float | None: ...


class Height(Protocol):
    """What the estimate needs of the height ledger: the rise by each cause [mm]."""

    @property
    def suspension_mm(self) -> float | None: ...
    @property
    def body_mm(self) -> float | None: ...
    @property
    def tyre_mm(self) -> float | None: ...


@dataclass(frozen=True, kw_only=True)
class Load:
    """A mass aboard, the height of its centre and how far that height may be out [kg, mm]."""

    mass_kg: float
    height_mm: float
    error_mm: float


def combined(loads: Sequence[Load]) -> Load:
    """Centre of several loads: h = Σ m h / Σ m; errors taken as all in the same direction.

    Parameters: loads [kg, mm]; a mass may be negative, when it is taken out. Returns: Load.
    Raises CalculationError when a number is none, or the masses come to nothing.

    >>> combined([Load(mass_kg=3, height_mm=600, error_mm=0), Load(mass_kg=1, height_mm=1000, error_mm=40)])
    Load(mass_kg=4, height_mm=700.0, error_mm=10.0)

    Source: moments about the ground.
    """
    for load in loads:
        for name, value in vars(load).items():
            if not isfinite(value):
                raise CalculationError(quantity=name, value=value, allowed="numbers")
    mass = sum(load.mass_kg for load in loads)
    if not mass > 0:
        value, allowed = f"{mass:g} kg in all", "masses that come to more than 0 kg"
        raise CalculationError(quantity="mass_kg", value=value, allowed=allowed)
    return Load(
        mass_kg=mass,
        height_mm=sum(load.mass_kg * load.height_mm for load in loads) / mass,
        error_mm=sum(abs(load.mass_kg) * load.error_mm for load in loads) / mass,
    )


def loads_aboard(*, case: Case, masses: Masses, overall_height_mm: float) -> tuple[tuple[Load, ...], ...]:
    """What Test Mass 1 adds to the empty vehicle, and what Test Mass 2 adds to Test Mass 1.

    Parameters: the case, its masses [kg] and the overall height [mm]. Returns: two tuples of
    Load; the fuel, then driver and instruments at seat height; then the ballast by place. A mass
    that is not known is left out: the test mass itself is then undecided.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> first, second = loads_aboard(case=done.case, masses=done.masses, overall_height_mm=1895)
    >>> [round(load.mass_kg, 1) for load in first], [round(load.mass_kg, 1) for load in second]
    ([36.5, 92.0], [260.0, 68.0, 0.0])

    Source: shares of the overall height are assumptions, see ASSUMED.
    """

    def load(mass_kg: float | None, share: float) -> Load:
        return Load(
            mass_kg=mass_kg or 0.0,
            height_mm=share * overall_height_mm,
            error_mm=SHARE_ERROR * overall_height_mm,
        )

    empty, fuel = case.vehicle.empty_mass_kg or 0.0, masses.fuel_added_kg or 0.0
    aboard = (masses.tm1_kg or 0.0) - empty - fuel
    return (
        (load(fuel, FUEL), load(aboard, SEATED)),
        (
            load(masses.seat_ballast_kg, ON_FLOOR),
            load(masses.luggage_ballast_kg, LUGGAGE),
            load(masses.goods_ballast_kg, GOODS),
        ),
    )


def estimated(*, case: Case, height: Height) -> Load | None:
    """The empty vehicle's centre of gravity, estimated: 0.39 × original height, then raised.

    Suspension lift raises 0.87 of the mass, a body lift 0.45 of it, larger tyres all of it.
    Roof loads and fixed loads of known mass and height are put in at their own heights.

    Parameters
    ----------
    case : overall height [mm], empty mass [kg], fitted loads [kg, mm]
    height : its height ledger [mm]

    Returns
    -------
    Load [kg, mm]; None when overall height, empty mass or a part of the ledger is not known, or when
    it comes out at a height that no light vehicle has.

    Raises
    ------
    Nothing: a case holds only what lies within its ranges.

    Notes
    -----
    An estimate, never a measurement; ± 4 % of the original height, a tenth of its share.

    Example
    -------
    >>> from .case import Vehicle
    >>> from .height import ledger
    >>> plain = Case(jurisdiction="NSW", vehicle=Vehicle(overall_height_mm=1800, empty_mass_kg=2100))
    >>> estimated(case=plain, height=ledger(plain))  # 0.39 of 1,800 mm
    Load(mass_kg=2100, height_mm=702.0, error_mm=72.0)

    Source: shares from memory, no published source.
    """
    overall, empty = case.vehicle.overall_height_mm, case.vehicle.empty_mass_kg
    suspension, body, tyre = height.suspension_mm, height.body_mm, height.tyre_mm
    if overall is None or empty is None or suspension is None or body is None or tyre is None:
        return None
    original = overall - suspension - body - tyre
    fitted = _fitted(case)
    if original <= 0 or sum(load.mass_kg for load in fitted) >= empty:
        return None
    bare = Load(
        mass_kg=empty - sum(load.mass_kg for load in fitted),
        height_mm=CG_SHARE * original + SPRUNG * suspension + BODY * body + tyre,
        error_mm=CG_SHARE_ERROR * original,
    )
    found = combined((bare, *fitted))
    # Loads that leave no vehicle's height are written down wrongly: no estimate rests on them.
    limits = VEHICLE["cg_height_mm"]
    return found if limits.low <= found.height_mm <= limits.high else None


def _fitted(case: Case) -> tuple[Load, ...]:
    found = []
    for item in case.modifications:
        mass, height = item.number("mass_kg"), item.number("height_mm")
        if item.kind in ("roof_load", "fixed_load") and mass is not None and height is not None:
            found.append(Load(mass_kg=mass, height_mm=height, error_mm=0.0))
    return tuple(found)
