"""Where ballast may lie in this vehicle: each seat and the floor before it, luggage area, load bed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from .axles import PLACES as MEASURED
from .ballast import Place
from .case import Case
from .category import Category
from .load_heights import GOODS, LUGGAGE, ON_FLOOR, SEATED
from .masses import Masses

# Middles of the outer seats of a row as a share of the overall width: two seats, and more.
PAIR, BENCH, BED = 0.40, 0.48, 0.40
ASSUMED = (
    "Heights of the places are shares of the overall height, their distances from the middle shares of the overall "
    "width; the driver sits on the right: assumptions from memory, no published source."
)
SPARE_KG = 30.0


@dataclass(frozen=True, kw_only=True)
class Room:
    """The places for one test mass, or what to measure before they are known."""

    places: tuple[Place, ...]
    undecided: tuple[str, ...]
    notes: tuple[str, ...] = ()


def places_tm1(case: Case, *, masses: Masses, most_kg: Mapping[str, float]) -> Room:
    """Ballast of Test Mass 1: the driver's own up to the minimum, and what replaces equipment.

    Parameters: case, masses and what a place may carry [kg]. Returns: Room [mm, kg]; each place
    must hold at least its share.

    >>> from vehicles.reference import ballast_stock, worked_example
    >>> done = worked_example()
    >>> from dataclasses import replace
    >>> light = replace(done.masses, driver_ballast_kg=8.0)
    >>> [(one.key, one.share_kg) for one in places_tm1(done.case, masses=light, most_kg=ballast_stock().most_kg).places]
    [("driver's place, floor", 8.0)]

    Source: see ASSUMED.
    """
    finder = _Finder(case)
    places: list[Place] = []
    driver, equipment = masses.driver_ballast_kg or 0.0, masses.missing_equipment_kg
    if driver:
        y, most = -PAIR / 2 * finder.width, max(most_kg["floor"], driver + SPARE_KG)
        places.append(finder.place("driver's place, floor", "driver", y, ON_FLOOR, driver, most, least=driver))
    if equipment:
        most = equipment + SPARE_KG
        places.append(finder.place("missing equipment", "instruments", 0.0, SEATED, equipment, most, least=equipment))
    return finder.room(places)


def places_tm2(case: Case, *, masses: Masses, category: Category, most_kg: Mapping[str, float]) -> Room:
    """Ballast that Test Mass 2 adds: on the seats or the floor before them, luggage area, load bed.

    Parameters: case, masses, resulting category and what a place may carry [kg]. Returns: Room [mm, kg].

    Notes: without rows of seats the seats count as one group on each side, about the centre that
    was measured for them. The floor comes first: a seat's share belongs there.

    >>> from vehicles.reference import ballast_stock, worked_example
    >>> done = worked_example()
    >>> found = places_tm2(done.case, masses=done.masses, category=done.category, most_kg=ballast_stock().most_kg)
    >>> sum(place.share_kg for place in found.places)
    328.0

    Source: see ASSUMED.
    """
    finder = _Finder(case)
    places: list[Place] = []
    notes: tuple[str, ...] = ()
    seats, luggage, goods = masses.seat_ballast_kg, masses.luggage_ballast_kg, masses.goods_ballast_kg
    if seats:
        others = max(1, (category.seats or 0) - 1)
        for spot in _seats(case) or finder.groups(others):
            share = seats * spot.seats / others
            places.append(finder.at(spot, "floor", ON_FLOOR, share, spot.seats * most_kg["floor"]))
            places.append(finder.at(spot, "seat", SEATED, 0.0, spot.seats * most_kg["seat"]))
        if not case.seat_rows:
            notes = ("The seats count as one group on each side: measure each row (seat_rows) for a plan by seat.",)
    if luggage:
        places.append(finder.place("luggage area", "luggage", 0.0, LUGGAGE, luggage, most_kg["luggage"]))
    if goods:
        for name, side in (("load bed, left", 0.5), ("load bed, right", -0.5)):
            y, half = side * BED * finder.width, goods / 2
            places.append(finder.place(name, "goods", y, GOODS, half, most_kg["bed"] / 2))
    return finder.room(places, notes)


@dataclass(frozen=True, kw_only=True)
class _Spot:
    """One seat, or a group of them: where it is and for how many it stands."""

    name: str
    x_mm: float
    y_share: float
    seats: float


def _seats(case: Case) -> tuple[_Spot, ...]:
    """Every seat but the driver's, from the rows; nothing while a row is not measured."""
    rows = [(row.x_mm, row.seats) for row in case.seat_rows if row.x_mm is not None and row.seats is not None]
    return tuple(_spots(rows)) if len(rows) == len(case.seat_rows) else ()


def _spots(rows: Sequence[tuple[float, int]]) -> Iterator[_Spot]:
    for number, (x_mm, seats) in enumerate(rows, start=1):
        span = 0.0 if seats == 1 else PAIR if seats == 2 else BENCH
        for index in range(seats - (number == 1)):
            y_share = span / 2 - span * index / max(1, seats - 1)
            yield _Spot(name=f"row {number}, {_across(index, seats)}", x_mm=x_mm, y_share=y_share, seats=1)


def _across(index: int, seats: int) -> str:
    if index == 0:
        return "middle" if seats == 1 else "left"
    if index == seats - 1:
        return "right"
    return "middle" if seats == 3 else f"{index + 1} from the left"


class _Finder:
    """Places things in the vehicle and gathers what would have to be measured for it."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.gaps: list[str] = []
        self.width = case.vehicle.overall_width_mm or 0.0
        self.height = case.vehicle.overall_height_mm or 0.0

    def x(self, name: str) -> float:
        key, what = MEASURED[name]
        found = self.case.place_mm(key)
        if found is None:
            self.gaps.append(f"places.{key}: measure how far {what} lies behind the front axle")
        return found or 0.0

    def groups(self, others: int) -> tuple[_Spot, ...]:
        """All seats but the driver's as a group on each side of the centre measured for them."""
        if self.case.seat_rows:
            self.gaps.append("seat_rows: measure each row behind the front axle and count its seats")
            return ()
        x_mm = self.x("seats")
        return tuple(
            _Spot(name=f"{side} seats", x_mm=x_mm, y_share=sign * PAIR / 2, seats=others / 2)
            for side, sign in (("left-hand", 1), ("right-hand", -1))
        )

    def place(
        self, key: str, name: str, y_mm: float, height: float, share: float, most: float, *, least: float = 0.0
    ) -> Place:
        return self._made(key, self.x(name), y_mm, height, share, most, least)

    def at(self, spot: _Spot, sort: str, height: float, share: float, most: float) -> Place:
        return self._made(f"{spot.name}, {sort}", spot.x_mm, spot.y_share * self.width, height, share, most, 0.0)

    def _made(
        self, key: str, x_mm: float, y_mm: float, height: float, share: float, most: float, least: float
    ) -> Place:
        return Place(
            key=key,
            x_mm=x_mm,
            y_mm=y_mm,
            height_mm=height * self.height,
            share_kg=share,
            most_kg=most,
            least_kg=least,
        )

    def room(self, places: list[Place], notes: tuple[str, ...] = ()) -> Room:
        if places and not self.width:
            self.gaps.append("vehicle.overall_width_mm: measure it, the places across follow from it")
        if places and not self.height:
            self.gaps.append("vehicle.overall_height_mm: measure it, the heights of the places follow from it")
        return Room(places=tuple(places), undecided=tuple(dict.fromkeys(self.gaps)), notes=notes)
