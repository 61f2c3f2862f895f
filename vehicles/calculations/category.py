"""ADR categories: which one a vehicle has, and which one its modifications leave it with."""

from dataclasses import dataclass

from .case import Case
from .errors import CalculationError
from .explain import Reason
from .fuel import mass_to_level_kg
from .ranges import VEHICLE, Range
from .rulesets import RuleSet

PASSENGER = ("MA", "MB", "MC")
BUSES = ("MD1", "MD2", "MD3", "MD4", "ME")
GOODS = ("NA", "NB1", "NB2", "NC")
MOST_CAR_SEATS = 9
DEFINITIONS = "Australian Design Rules, definitions of vehicle categories"
MEMORY = f"{DEFINITIONS} (from memory, not yet checked against the current text)"
GVM_GAP = "vehicle.gvm_kg: read it from the compliance plate"
SEATS_GAP = "vehicle.seats: count them with the driver's, as registered"
# As weighed, and up to 400 L of fuel and 500 kg of missing equipment more.
UNLADEN = Range(name="unladen_kg", label="Unladen mass", low=200, high=10_900, unit="kg")


@dataclass(frozen=True, kw_only=True)
class Category:
    """The resulting category with what it rests on. ``code`` is None while undecided."""

    code: str | None
    presented: str | None
    gvm_kg: float | None
    seats: int | None
    unladen_kg: float | None = None
    reasons: tuple[Reason, ...] = ()
    undecided: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def passenger(self) -> bool | None:
        """True for MA, MB and MC, whose test differs from all others; None while undecided."""
        return None if self.code is None else self.code in PASSENGER


def is_for_goods(*, seats: int, gvm_kg: float, unladen_kg: float, seat_kg: float = 68.0, factor: float = 0.5) -> bool:
    """Goods or passenger: for goods when ``seats × 68 kg < (GVM − unladen mass) / 2``, strictly.

    Parameters
    ----------
    seats : int
        Seating positions with the driver's [-]
    gvm_kg, unladen_kg : float
        Gross vehicle mass; mass with a full tank and nobody inside [kg]
    seat_kg, factor : float
        Mass for one seat [kg] and the share of the difference [-], from the rules

    Returns
    -------
    bool
        True when the vehicle counts as one for goods

    Raises
    ------
    CalculationError
        When seats, GVM or unladen mass are outside what a light vehicle can be.

    Notes
    -----
    The rule is for vehicles built for both people and goods (utilities, vans). Equality counts as
    passenger.

    Examples
    --------
    >>> is_for_goods(seats=5, gvm_kg=3050, unladen_kg=2000)  # 340 against 525
    True
    >>> is_for_goods(seats=7, gvm_kg=2990, unladen_kg=2200)  # 476 against 395
    False

    Source: Australian Design Rules, definitions (from memory).
    """
    VEHICLE["seats"].check(seats)
    VEHICLE["gvm_kg"].check(gvm_kg)
    UNLADEN.check(unladen_kg)
    return seats * seat_kg < factor * (gvm_kg - unladen_kg)


def goods_category(gvm_kg: float) -> str:
    """The goods category by GVM: NA to 3.5 t, NB1 to 4.5 t, NB2 to 12 t (limits included).

    Parameters
    ----------
    gvm_kg : gross vehicle mass [kg]

    Returns
    -------
    "NA", "NB1" or "NB2" [-].

    Raises
    ------
    CalculationError : a GVM outside 300 to 12,000 kg.

    Notes
    -----
    NC, above 12 t, is no light vehicle and never comes out.

    Example
    -------
    >>> [goods_category(gvm) for gvm in (3500, 3501, 4500, 4501, 12000)]
    ['NA', 'NB1', 'NB1', 'NB2', 'NB2']

    Source: Australian Design Rules, definitions (from memory).
    """
    VEHICLE["gvm_kg"].check(gvm_kg)
    return "NA" if gvm_kg <= 3500 else "NB1" if gvm_kg <= 4500 else "NB2"


def bus_category(*, gvm_kg: float, seats: int) -> str:
    """The category of 10 seats and more: MD1, MD2 to 3.5 t, MD3 to 4.5 t, MD4 to 5 t, then ME.

    Parameters
    ----------
    gvm_kg : gross vehicle mass [kg]
    seats : seating positions with the driver's [-]

    Returns
    -------
    "MD1", "MD2", "MD3", "MD4" or "ME" [-].

    Raises
    ------
    CalculationError : a GVM outside 300 to 12,000 kg, or seats outside 10 to 24.

    Notes
    -----
    Seats part MD1 from MD2 up to 3.5 t only.

    Example
    -------
    >>> [bus_category(gvm_kg=g, seats=s) for g, s in ((3500, 12), (3500, 13), (4500, 13), (5001, 20))]
    ['MD1', 'MD2', 'MD3', 'ME']

    Source: NT bulletin V80 for MD1 and MD2; Australian Design Rules (from memory) for the rest.
    """
    VEHICLE["gvm_kg"].check(gvm_kg)
    if VEHICLE["seats"].check(seats) <= MOST_CAR_SEATS:
        raise CalculationError(quantity="seats", value=seats, allowed="10 to 24")
    if gvm_kg <= 3500:
        return "MD1" if seats <= 12 else "MD2"
    return "MD3" if gvm_kg <= 4500 else "MD4" if gvm_kg <= 5000 else "ME"


def unladen_mass_kg(case: Case, *, rules: RuleSet) -> float | None:
    """Mass with a full tank, all standard equipment and nobody inside: as weighed + fuel + equipment.

    Parameters
    ----------
    case : empty mass, tank and its level when weighed, missing equipment [kg, L]
    rules : density of the fuel [kg/m³]

    Returns
    -------
    Mass [kg]; None while empty mass, tank, level or fuel is not known.

    Raises
    ------
    Nothing: a case holds only what lies within its ranges.

    Notes
    -----
    The definition is from memory; tare, which has 10 L of fuel, is another mass.

    Example
    -------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> half = Vehicle(empty_mass_kg=2000, fuel="diesel", fuel_tank_l=80, fuel_level=0.5)
    >>> round(unladen_mass_kg(Case(jurisdiction="NSW", vehicle=half), rules=rule_set("NSW")), 1)  # 40 L at 840 kg/m³
    2033.6

    Source: Australian Design Rules, definitions (from memory).
    """
    empty = case.vehicle.empty_mass_kg
    added = mass_to_level_kg(case.vehicle, level=1.0, rules=rules)
    return None if empty is None or added is None else empty + added + case.crew.missing_equipment_kg
