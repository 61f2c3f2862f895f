"""How to load a workshop's ballast so that the vehicle reaches a test mass."""

from collections.abc import Sequence
from dataclasses import dataclass

from .errors import CalculationError
from .lashing import Restraint, restraint
from .loading_problem import LoadingProblem
from .ranges import VEHICLE, Range

PIECE = Range(name="mass_kg", label="Mass of one piece", low=0.5, high=200, unit="kg")
COUNT = Range(name="count", label="Pieces in stock", low=0, high=500, unit="", whole=True)
TARGET = Range(name="target_kg", label="Ballast to reach", low=0, high=12_000, unit="kg")


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A kind of ballast in stock: bags or plates of one mass."""

    key: str
    mass_kg: float
    count: int

    def __post_init__(self) -> None:
        PIECE.check(self.mass_kg)
        COUNT.check(self.count)


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where ballast may lie: x behind the front axle, y to the left, height above the ground.

    ``share_kg`` is what belongs there, ``most_kg`` what the place may carry, ``least_kg`` what
    must be there at least.
    """

    key: str
    x_mm: float
    y_mm: float
    height_mm: float
    share_kg: float
    most_kg: float
    least_kg: float = 0.0

    def __post_init__(self) -> None:
        Range(name="x_mm", label="Place", low=-2_000, high=8_000, unit="mm").check(self.x_mm)
        Range(name="y_mm", label="Place", low=-1_300, high=1_300, unit="mm").check(self.y_mm)
        Range(name="height_mm", label="Height", low=0, high=4_300, unit="mm").check(self.height_mm)
        TARGET.check(self.share_kg)
        TARGET.check(self.most_kg)
        TARGET.check(self.least_kg)


@dataclass(frozen=True, kw_only=True)
class Axles:
    """The vehicle before the ballast: axle masses and ratings [kg], None is not known."""

    wheelbase_mm: float
    front_kg: float
    rear_kg: float
    front_rating_kg: float | None
    rear_rating_kg: float | None


@dataclass(frozen=True, kw_only=True)
class Put:
    """So many pieces of one kind at one place."""

    place: str
    piece: str
    count: int
    mass_kg: float


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A loading plan. When there is none, ``puts`` is empty and ``reasons`` says why."""

    feasible: bool
    target_kg: float
    mass_kg: float
    over_kg: float
    puts: tuple[Put, ...]
    by_place: dict[str, float]
    front_axle_kg: float
    rear_axle_kg: float
    height_mm: float | None
    lateral_mm: float | None
    restraint: dict[str, Restraint]
    reasons: tuple[str, ...]
    undecided: tuple[str, ...]


def plan(
    *,
    target_kg: float,
    stock: Sequence[Piece],
    places: Sequence[Place],
    axles: Axles,
    most_kg: float | None = None,
) -> Plan:
    """The loading that reaches the target: integer pieces at places, best in this order.

    First as little above the target as the stock allows and never below it; then spread so that
    the largest difference from any place's share is least, to the whole kilogram; then as low as allowed; then with the
    fewest pieces to carry. Each step is an integer programme that keeps what the steps before it
    found.

    Parameters
    ----------
    target_kg : ballast to reach [kg]
    stock : kinds of pieces and how many there are
    places : where ballast may lie, what belongs there, what each may carry [mm, kg]
    axles : wheelbase [mm], axle masses before the ballast and ratings [kg]
    most_kg : what the ballast may weigh at most, for example what the GVM leaves [kg]

    Returns
    -------
    Plan: pieces by place, axle masses after loading [kg], centre of the ballast [mm], what the
    restraint at each place must hold [N]; when there is no such loading, the reasons.

    Raises
    ------
    CalculationError : a value out of range, two places or two kinds of the same key.

    Notes
    -----
    A rating that is not known limits nothing and is named in ``undecided``. Ballast is secured,
    on the floor where possible: planning aid only, the axles are weighed after loading.

    Example
    -------
    >>> bags = [Piece(key="bag 20", mass_kg=20, count=9), Piece(key="bag 25", mass_kg=25, count=4)]
    >>> seat = {"height_mm": 600, "share_kg": 68, "most_kg": 120}
    >>> seats = [Place(key="left", x_mm=1400, y_mm=350, **seat), Place(key="right", x_mm=1400, y_mm=-350, **seat)]
    >>> car = Axles(wheelbase_mm=2790, front_kg=1200, rear_kg=1090, front_rating_kg=1480, rear_rating_kg=1780)
    >>> found = plan(target_kg=136, stock=bags, places=seats, axles=car)
    >>> found.mass_kg, found.by_place
    (140.0, {'left': 70.0, 'right': 70.0})

    Source: moments about the axles; integer programme, textbook.
    """
    _check(target_kg=target_kg, stock=stock, places=places, axles=axles, most_kg=most_kg)
    problem = LoadingProblem(target_kg=target_kg, stock=stock, places=places, axles=axles, most_kg=most_kg)
    counts = problem.solve()
    reasons = () if counts is not None else problem.why_not()
    puts = []
    for piece, row in zip(stock, counts or [], strict=False):
        for place, count in zip(places, row, strict=True):
            if count:
                puts.append(Put(place=place.key, piece=piece.key, count=count, mass_kg=count * piece.mass_kg))
    return _plan(
        feasible=counts is not None, target_kg=target_kg, puts=puts, places=places, axles=axles, reasons=reasons
    )


def _check(
    *,
    target_kg: float,
    stock: Sequence[Piece],
    places: Sequence[Place],
    axles: Axles,
    most_kg: float | None,
) -> None:
    TARGET.check(target_kg)
    VEHICLE["wheelbase_mm"].check(axles.wheelbase_mm)
    VEHICLE["front_axle_kg"].check(axles.front_kg)
    VEHICLE["rear_axle_kg"].check(axles.rear_kg)
    if most_kg is not None:
        Range(name="most_kg", label="Ballast at most", low=0, high=12_000, unit="kg").check(most_kg)
    for name, things in (("stock", stock), ("places", places)):
        keys = [thing.key for thing in things]
        if not keys or len(set(keys)) < len(keys):
            raise CalculationError(quantity=name, value=", ".join(keys) or "none", allowed="one or more, each key once")


def _plan(
    *,
    feasible: bool,
    target_kg: float,
    puts: Sequence[Put],
    places: Sequence[Place],
    axles: Axles,
    reasons: tuple[str, ...],
) -> Plan:
    by_place = {place.key: float(sum(put.mass_kg for put in puts if put.place == place.key)) for place in places}
    mass = sum(by_place.values(), 0.0)

    def centre(name: str) -> float:
        return sum(by_place[place.key] * float(getattr(place, name)) for place in places)

    rear = centre("x_mm") / axles.wheelbase_mm
    ratings = {"front_axle_rating_kg": axles.front_rating_kg, "rear_axle_rating_kg": axles.rear_rating_kg}
    return Plan(
        feasible=feasible,
        target_kg=target_kg,
        mass_kg=mass,
        over_kg=mass - target_kg if feasible else 0.0,
        puts=tuple(puts),
        by_place=by_place,
        front_axle_kg=axles.front_kg + mass - rear,
        rear_axle_kg=axles.rear_kg + rear,
        height_mm=centre("height_mm") / mass if mass else None,
        lateral_mm=centre("y_mm") / mass if mass else None,
        restraint={key: restraint(mass_kg=kg) for key, kg in by_place.items() if kg},
        reasons=reasons,
        undecided=tuple(
            f"{name}: needed to keep the loading within it" for name, value in ratings.items() if value is None
        ),
    )
