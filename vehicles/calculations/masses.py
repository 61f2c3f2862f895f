"""The two masses at which a vehicle is tested, and what has to be loaded to reach them."""

from dataclasses import dataclass

from .case import Case
from .category import BUSES, GVM_GAP, SEATS_GAP, Category
from .explain import Working
from .fuel import density_kg_per_m3, mass_to_level_kg
from .rulesets import DUST, RuleSet
from .wording import fixed, plain

BUS = (
    "A bus is loaded to its GVM, as every category but MA, MB and MC (common practice, no published source): spread "
    "the ballast over its seats and luggage, it has no load bed; the signatory may ask for the load of its seats."
)


@dataclass(frozen=True, kw_only=True)
class Masses:
    """Test masses and their parts [kg]; None is undecided. Fuel is negative when it is drained."""

    fuel_added_kg: float | None
    driver_kg: float | None
    driver_ballast_kg: float | None
    instruments_kg: float
    missing_equipment_kg: float
    tm1_kg: float | None
    seat_ballast_kg: float | None
    luggage_ballast_kg: float | None
    goods_ballast_kg: float | None
    tm2_kg: float | None
    gvm_kg: float | None
    within_gvm: bool | None
    tm1_margin_kg: float | None
    tm2_margin_kg: float | None
    undecided: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def masses_for(case: Case, *, rules: RuleSet, category: Category) -> Masses:
    """Test Mass 1 and Test Mass 2.

    ``TM1 = empty + fuel to 90 % + driver (at least 68 kg, ballast included) + instruments +
    missing standard equipment``;
    passenger: ``TM2 = TM1 + 68 kg × seats − driver + luggage × seats``; all others: ``TM2 = GVM``.

    Parameters
    ----------
    case : Case
        Masses as weighed [kg], fuel, crew
    rules : RuleSet
        Mass for a seat, luggage for a seat, driver's minimum, share of the tank, densities
    category : Category
        The resulting category, seats and GVM

    Returns
    -------
    Masses
        [kg]; ``within_gvm`` is False when either mass is above the GVM

    Notes
    -----
    The empty mass holds the standard equipment that was aboard and whatever the modifications add. A driver
    heavier than all seats together leaves no seat ballast. A vehicle for goods that is above
    its GVM at Test Mass 1 gets no ballast, and Test Mass 2 is then Test Mass 1.

    Examples
    --------
    >>> from vehicles.reference import rule_set
    >>> from .case import Crew, Vehicle
    >>> from .resulting import resulting_category
    >>> vehicle = Vehicle(adr_category="MC", gvm_kg=2950, seats=5, empty_mass_kg=2165, fuel="diesel",
    ...                   fuel_tank_l=87, fuel_level=0.4)
    >>> case = Case(jurisdiction="NSW", vehicle=vehicle, crew=Crew(driver_kg=80, instruments_kg=12))
    >>> rules = rule_set("NSW")
    >>> masses = masses_for(case, rules=rules, category=resulting_category(case, rules=rules))
    >>> round(masses.tm1_kg, 2), round(masses.tm2_kg, 2)
    (2293.54, 2621.54)

    Source: common practice, no published source (see the rules for each number).
    """
    return _Loading(case, rules, category).masses()


class _Loading:
    """Loads the vehicle step by step, and keeps what cannot be known and what to watch."""

    def __init__(self, case: Case, rules: RuleSet, category: Category) -> None:
        self.case, self.rules, self.category = case, rules, category
        self.undecided: list[str] = []
        self.cautions: list[str] = []
        self.workings: list[Working] = []

    def masses(self) -> Masses:
        fuel = self._fuel()
        driver, ballast = self._driver()
        tm1 = self._tm1(fuel, driver, ballast)
        seats, luggage, goods = self._load(tm1, driver, ballast)
        added = (seats, luggage, goods)
        tm2 = None if tm1 is None or None in added else tm1 + sum(part or 0.0 for part in added)
        if tm2 is not None:
            self._explain_tm2(tm1, seats, luggage, goods, tm2)
        gvm = self.category.gvm_kg
        margins = [None if mass is None or gvm is None else gvm - mass for mass in (tm1, tm2)]
        return Masses(
            fuel_added_kg=fuel,
            driver_kg=driver,
            driver_ballast_kg=ballast,
            instruments_kg=self.case.crew.instruments_kg,
            missing_equipment_kg=self.case.crew.missing_equipment_kg,
            tm1_kg=tm1,
            seat_ballast_kg=seats,
            luggage_ballast_kg=luggage,
            goods_ballast_kg=goods,
            tm2_kg=tm2,
            gvm_kg=gvm,
            within_gvm=self._within(margins),
            tm1_margin_kg=margins[0],
            tm2_margin_kg=margins[1],
            undecided=tuple(self.undecided),
            cautions=tuple(self.cautions),
            workings=tuple(self.workings),
        )

    def _missing(self, *wanted: tuple[object, str]) -> bool:
        missing = [text for value, text in wanted if value is None]
        self.undecided.extend(text for text in missing if text not in self.undecided)
        return bool(missing)

    def _fuel(self) -> float | None:
        vehicle, fraction = self.case.vehicle, self.rules.need("fuel.fraction")
        added = mass_to_level_kg(vehicle, level=fraction.value, rules=self.rules)
        if vehicle.fuel is None:
            self._missing((None, "vehicle.fuel: what it runs on"))
        elif added is None:
            self._missing(
                (vehicle.fuel_tank_l, "vehicle.fuel_tank_l: capacity of the tank, from the handbook"),
                (vehicle.fuel_level, "vehicle.fuel_level: how full the tank was when weighed"),
            )
        if added is None or vehicle.fuel is None or vehicle.fuel == "electric":
            return added
        if added < 0:
            self.cautions.append(
                f"The tank was above {fraction.value:.0%} when weighed: drain {fixed(-added)} kg of fuel."
            )
        density = density_kg_per_m3(vehicle.fuel, rules=self.rules)
        self._explain(
            "Fuel added",
            "(level for the test − level as weighed) × tank × density",
            {
                "level for the test": f"{fraction.value:g}",
                "level as weighed": f"{vehicle.fuel_level:g}",
                "tank": f"{vehicle.fuel_tank_l:g} L",
                "density": f"{density:g} kg/m³",
            },
            added,
            fraction.cited,
        )
        return added

    def _driver(self) -> tuple[float | None, float | None]:
        driver, least = self.case.crew.driver_kg, self.rules.need("driver.minimum_kg")
        if driver is None:
            self._missing((None, "crew.driver_kg: weigh the driver, dressed for the test"))
            return None, None
        ballast = max(0.0, least.value - driver)
        if ballast:
            self.cautions.append(
                f"The driver of {fixed(driver)} kg carries {fixed(ballast)} kg of ballast, secured at the "
                f"driver's place, to reach {plain(least.value)} kg in both masses."
            )
        return driver, ballast

    def _tm1(self, fuel: float | None, driver: float | None, ballast: float | None) -> float | None:
        empty = self.case.vehicle.empty_mass_kg
        self._missing((empty, "vehicle.empty_mass_kg: weigh the empty vehicle, each axle by itself"))
        if empty is None or fuel is None or driver is None or ballast is None:
            return None
        crew = self.case.crew
        tm1 = empty + fuel + driver + ballast + crew.instruments_kg + crew.missing_equipment_kg
        self._explain(
            "Test Mass 1",
            "empty mass + fuel added + driver + driver's ballast + instruments + missing equipment",
            {
                "empty mass": f"{empty:g} kg",
                "fuel added": f"{fixed(fuel, 2)} kg",
                "driver": f"{driver:g} kg",
                "driver's ballast": f"{ballast:g} kg",
                "instruments": f"{crew.instruments_kg:g} kg",
                "missing equipment": f"{crew.missing_equipment_kg:g} kg",
            },
            tm1,
            self.rules.need("driver.minimum_kg").cited,
        )
        return tm1

    def _load(
        self, tm1: float | None, driver: float | None, ballast: float | None
    ) -> tuple[float | None, float | None, float | None]:
        """Ballast on the seats, over the luggage area and over the goods area."""
        passenger = self.category.passenger
        if passenger is None:
            self._missing((None, "category: it decides how Test Mass 2 is loaded"))
            return None, None, None
        if self.category.code in BUSES:
            self.cautions.append(BUS)
        if not passenger:
            return 0.0, 0.0, self._goods(tm1)
        seats = self.category.seats
        if self._missing((seats, SEATS_GAP)) or seats is None:
            return None, None, 0.0
        occupant, luggage = self.rules.need("seat.occupant_kg"), self.rules.need("seat.luggage_kg")
        luggage_kg = None if self.rules.jurisdiction is None else seats * luggage.value
        if luggage_kg is None:
            self._missing((None, "jurisdiction: it sets the luggage for each seat"))
        else:
            self._explain(
                "Luggage ballast",
                "seats × luggage for each",
                {"seats": str(seats), "luggage for each": f"{plain(luggage.value)} kg"},
                luggage_kg,
                luggage.cited,
            )
        if driver is None or ballast is None:
            return None, luggage_kg, 0.0
        seat_kg = max(0.0, seats * occupant.value - driver - ballast)
        if driver + ballast > seats * occupant.value + DUST:
            self.cautions.append("The driver weighs more than all seats count for: no seat ballast.")
        self._explain(
            "Seat ballast",
            "seats × mass for each − driver with ballast, at least 0",
            {
                "seats": str(seats),
                "mass for each": f"{plain(occupant.value)} kg",
                "driver with ballast": f"{driver + ballast:g} kg",
            },
            seat_kg,
            occupant.cited,
        )
        return seat_kg, luggage_kg, 0.0

    def _goods(self, tm1: float | None) -> float | None:
        gvm = self.category.gvm_kg
        self._missing((gvm, GVM_GAP))
        return None if tm1 is None or gvm is None else max(0.0, gvm - tm1)

    def _within(self, margins: list[float | None]) -> bool | None:
        gvm = self.category.gvm_kg
        self._missing((gvm, GVM_GAP))
        over = False
        for name, margin in zip(("Test Mass 1", "Test Mass 2"), margins, strict=True):
            if margin is not None and gvm is not None and margin < -DUST:
                over = True
                self.cautions.append(
                    f"{name} of {fixed(gvm - margin)} kg is {fixed(-margin)} kg above the GVM of "
                    f"{fixed(gvm, 0)} kg: do not drive it at that mass."
                )
        if over:
            return False
        return None if None in margins else True

    def _explain_tm2(
        self, tm1: float | None, seats: float | None, luggage: float | None, goods: float | None, tm2: float
    ) -> None:
        parts = {
            "Test Mass 1": tm1,
            "seat ballast": seats,
            "luggage ballast": luggage,
            "goods ballast": goods,
        }
        self._explain(
            "Test Mass 2",
            " + ".join(parts),
            {name: f"{fixed(part or 0.0, 2)} kg" for name, part in parts.items()},
            tm2,
            self.rules.need("seat.occupant_kg").cited,
        )

    def _explain(self, quantity: str, formula: str, inputs: dict[str, str], value: float, source: str) -> None:
        self.workings.append(
            Working(quantity=quantity, formula=formula, inputs=inputs, value=value, unit="kg", source=source)
        )
