"""One case: a vehicle, its modifications, its crew and the jurisdiction it is registered in."""

from dataclasses import dataclass, field

from .measurements import AxleLift, Corners, SeatRow, centre_of_rows
from .modifications import Modification

JURISDICTIONS = ("NSW", "VIC", "QLD", "SA", "WA", "TAS", "ACT", "NT")
ADR_CATEGORIES = ("MA", "MB", "MC", "MD1", "MD2", "MD3", "MD4", "ME", "NA", "NB1", "NB2", "NC")
FUELS = ("petrol", "diesel", "lpg", "electric")


@dataclass(frozen=True, kw_only=True)
class Vehicle:
    """The vehicle as presented. Lengths mm, masses kg; None is not known.

    ``empty_mass_kg`` and the axle masses are as weighed: with ``fuel_level`` (0 to 1) of the
    tank and all standard equipment aboard, nobody inside. ``track_*``, ``overall_width_mm``,
    ``wheelbase_mm`` and ``overall_height_mm`` are those of the vehicle as presented, that is
    with its modifications; ``adr_category``, ``gvm_kg``, ``seats`` and ``tyre`` are those it had
    before them.
    """

    adr_category: str | None = None
    gvm_kg: float | None = None
    seats: int | None = None
    empty_mass_kg: float | None = None
    front_axle_kg: float | None = None
    rear_axle_kg: float | None = None
    front_axle_rating_kg: float | None = None
    rear_axle_rating_kg: float | None = None
    overall_width_mm: float | None = None
    overall_length_mm: float | None = None
    wheelbase_mm: float | None = None
    front_overhang_mm: float | None = None
    track_front_mm: float | None = None
    track_rear_mm: float | None = None
    overall_height_mm: float | None = None
    cg_height_mm: float | None = None
    fuel: str | None = None
    fuel_tank_l: float | None = None
    fuel_level: float | None = None
    tyre: str | None = None
    esc: bool | None = None
    market_value_aud: float | None = None


@dataclass(frozen=True, kw_only=True)
class Crew:
    """Who and what rides along: masses in kg. The driver is never the owner by default.

    ``missing_equipment_kg`` is standard equipment that was not aboard when the vehicle was weighed
    and whose mass has to be put back.
    """

    driver_kg: float | None = None
    driver_is_owner: bool = False
    instruments_kg: float = 0.0
    missing_equipment_kg: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Places:
    """Where the centre of each load lies: mm behind the front axle; None is not measured."""

    driver_x_mm: float | None = None
    fuel_x_mm: float | None = None
    instruments_x_mm: float | None = None
    seats_x_mm: float | None = None
    luggage_x_mm: float | None = None
    goods_x_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class Case:
    """Everything that the work-up of one job starts from.

    Without a jurisdiction only the national code can be applied, and what differs by state is
    undecided.
    """

    jurisdiction: str | None
    vehicle: Vehicle
    modifications: tuple[Modification, ...] = ()
    crew: Crew = Crew()
    places: Places = Places()
    corner_weights: Corners = field(default_factory=Corners)
    axle_lift: AxleLift | None = None
    seat_rows: tuple[SeatRow, ...] = ()

    def place_mm(self, name: str) -> float | None:
        """Where a load lies behind the front axle [mm]: as measured, the seats also by their rows."""
        measured: float | None = getattr(self.places, name)
        return centre_of_rows(self.seat_rows) if measured is None and name == "seats_x_mm" else measured
