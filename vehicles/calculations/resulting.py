"""What the modifications leave a vehicle with: its GVM, its seats and its ADR category."""

from collections.abc import Iterator

from .case import Case
from .category import (
    BUSES,
    GOODS,
    GVM_GAP,
    MEMORY,
    MOST_CAR_SEATS,
    PASSENGER,
    SEATS_GAP,
    Category,
    bus_category,
    goods_category,
    is_for_goods,
    unladen_mass_kg,
)
from .explain import Reason
from .rulesets import RuleSet
from .wording import fixed, plain

PRACTICE = "Common practice, no published source: the resulting category's requirements apply"


def resulting_category(case: Case, *, rules: RuleSet) -> Category:
    """The category after a change of seats, body or GVM; the one as presented without any.

    Parameters
    ----------
    case : Case
        Category, seats and GVM before the modifications, masses as weighed
    rules : RuleSet
        Fuel densities and the goods-or-passenger rule

    Returns
    -------
    Category
        With the resulting GVM [kg] and seats, reasons, and what is undecided

    Notes
    -----
    A passenger vehicle becomes one for goods when seats are taken out and the goods-or-passenger
    rule says so; a GVM upgrade alone leaves it a passenger vehicle, with a caution when the rule
    reads otherwise. A vehicle that turns into a passenger vehicle can be MA, MB or MC, and one
    with another body can be anything: both stay undecided until the category is stated.

    Examples
    --------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> from .modifications import Modification
    >>> case = Case(jurisdiction="NSW", vehicle=Vehicle(adr_category="NA", gvm_kg=3300, seats=5),
    ...             modifications=(Modification(kind="gvm_upgrade", values={"to_kg": 3600}),))
    >>> resulting_category(case, rules=rule_set("NSW")).code
    'NB1'

    Source: Australian Design Rules, definitions (see category.py for what was seen of them).
    """
    return _Result(case, rules).category()


class _Result:
    """One pass through the decision, gathering reasons, gaps and cautions on the way."""

    def __init__(self, case: Case, rules: RuleSet) -> None:
        self.presented = case.vehicle.adr_category
        self.seats_before, self.gvm_before = case.vehicle.seats, case.vehicle.gvm_kg
        self.unladen_kg = unladen_mass_kg(case, rules=rules)
        self.rules = rules
        self.reasons: list[Reason] = []
        self.undecided: list[str] = []
        self.cautions: list[str] = []
        self.kinds = {item.kind: (index, item) for index, item in enumerate(case.modifications)}
        self.gvm_kg = self._after("gvm_upgrade", "to_kg", self.gvm_before, GVM_GAP)
        seats = self._after("seating_change", "seats", self.seats_before, SEATS_GAP)
        self.seats = None if seats is None else int(seats)

    def _after(self, kind: str, name: str, before: float | None, missing: str) -> float | None:
        index, item = self.kinds.get(kind, (0, None))
        value = before if item is None else item.number(name)
        if value is None:
            self.undecided.append(missing if item is None else f"modifications[{index}].{name}: state it")
        return value

    def category(self) -> Category:
        code = self._code()
        if code is not None:
            self.cautions.extend(self._misfit(code))
        return Category(
            code=code,
            presented=self.presented,
            gvm_kg=self.gvm_kg,
            seats=self.seats,
            unladen_kg=self.unladen_kg,
            reasons=tuple(self.reasons),
            undecided=tuple(dict.fromkeys(self.undecided)),
            cautions=tuple(self.cautions),
        )

    def _code(self) -> str | None:
        index, body = self.kinds.get("body_change", (0, None))
        stated = None if body is None else body.words("to_category")
        if stated is not None:
            return self._because(stated, f"{stated} is stated as the category after the change of body.")
        if self.presented is None:
            self.undecided.append("vehicle.adr_category: read it from the compliance plate")
            return self._open("The category as presented is not known.")
        if not self.kinds.keys() & {"seating_change", "body_change", "gvm_upgrade"}:
            text = f"{self.presented} as presented: no modification changes seats, body or GVM."
            return self._because(self.presented, text)
        if self.seats is None or self.gvm_kg is None:
            return self._open("Seats and GVM after the modifications decide the category.")
        if body is not None:
            return self._after_body(index)
        if self.presented in PASSENGER:
            return self._from_passenger()
        return self._from_goods() if self.presented in GOODS else self._from_bus()

    def _after_body(self, index: int) -> str | None:
        goods = self._goods()
        if goods is not None and (self.presented in PASSENGER) is not goods and self.presented not in BUSES:
            return self._kept_or_by_mass(goods)
        self.undecided.append(f"modifications[{index}].to_category: state what the body is built for")
        return self._open("The new body decides between people and goods.")

    def _kept_or_by_mass(self, goods: bool) -> str | None:
        return self._by_mass() if goods or self._many_seats() else self._kept()

    def _from_passenger(self) -> str | None:
        if self._many_seats():
            return self._by_mass()
        if self.seats_before is not None and (self.seats or 0) >= self.seats_before:
            if "gvm_upgrade" in self.kinds and self.unladen_kg is not None and self._goods():
                self.cautions.append(
                    f"The goods-or-passenger rule would make it a vehicle for goods at this GVM, if it is "
                    f"built for both. {self.presented} is kept: confirm it."
                )
            return self._kept()
        goods = self._goods()
        if goods is None:
            return self._open("With fewer seats the goods-or-passenger rule decides.")
        return self._by_mass() if goods else self._kept()

    def _from_goods(self) -> str | None:
        more = self.seats_before is None or (self.seats or 0) > self.seats_before
        lower = self.gvm_before is None or (self.gvm_kg or 0) < self.gvm_before
        if not more and not lower:
            return self._by_mass()
        goods = self._goods()
        if goods is None:
            return self._open("The goods-or-passenger rule decides.")
        return self._by_mass() if goods or self._many_seats() else self._now_passenger()

    def _from_bus(self) -> str | None:
        return self._by_mass() if self._many_seats() else self._now_passenger()

    def _many_seats(self) -> bool:
        return self.seats is not None and self.seats > MOST_CAR_SEATS

    def _now_passenger(self) -> str | None:
        self.undecided.append(
            "category: a passenger vehicle of at most 9 seats is MA, MB or MC; the signatory states which "
            "(MC: four-wheel drive with at least 4 of the 5 off-road features, to be measured)"
        )
        return self._open("It counts as a passenger vehicle now.")

    def _goods(self) -> bool | None:
        """The goods-or-passenger rule on the resulting vehicle, with its sum as a reason."""
        if self.unladen_kg is None or self.seats is None or self.gvm_kg is None:
            self.undecided.append("unladen mass: weigh the vehicle, and state fuel, tank and fuel level when weighed")
            return None
        seat, factor = self.rules.need("category.seat_kg"), self.rules.need("category.goods_factor")
        people_kg = self.seats * seat.value
        half_kg = factor.value * (self.gvm_kg - self.unladen_kg)
        goods = is_for_goods(
            seats=self.seats,
            gvm_kg=self.gvm_kg,
            unladen_kg=self.unladen_kg,
            seat_kg=seat.value,
            factor=factor.value,
        )
        text = (
            f"{self.seats} seats × {plain(seat.value)} kg = {fixed(people_kg)} kg is "
            f"{'less' if goods else 'not less'} than half of GVM {fixed(self.gvm_kg, 0)} kg less unladen "
            f"mass {fixed(self.unladen_kg)} kg = {fixed(half_kg)} kg: for {'goods' if goods else 'people'}."
        )
        self.reasons.append(Reason(text=text, source=factor.cited))
        return goods

    def _by_mass(self) -> str:
        gvm_kg, seats = self.gvm_kg or 0.0, self.seats or 0
        code = bus_category(gvm_kg=gvm_kg, seats=seats) if self._many_seats() else goods_category(gvm_kg)
        return self._because(code, f"{seats} seats and a GVM of {fixed(gvm_kg, 0)} kg make it {code}.")

    def _kept(self) -> str:
        code = self.presented or ""
        return self._because(code, f"{code} is kept: {self.seats} seats, still built for people.")

    def _because(self, code: str, text: str) -> str:
        changed = code != self.presented and self.presented is not None
        source = MEMORY if not changed else f"{PRACTICE}; {MEMORY}"
        self.reasons.append(Reason(text=text, source=source))
        return code

    def _open(self, text: str) -> str | None:
        self.reasons.append(Reason(text=f"Undecided: {text}", source=PRACTICE))
        return None

    def _misfit(self, code: str) -> Iterator[str]:
        """What of seats and GVM a category as stated does not allow."""
        if self.seats is not None and (code in PASSENGER) and self._many_seats():
            yield f"{code} has at most 9 seats, this vehicle {self.seats}: check the category."
        if self.gvm_kg is None:
            return
        if code in GOODS and code != goods_category(self.gvm_kg):
            yield (
                f"{code} does not go with a GVM of {fixed(self.gvm_kg, 0)} kg, which makes it "
                f"{goods_category(self.gvm_kg)}: check the category."
            )
        if code in BUSES and self.seats is not None:
            fits = bus_category(gvm_kg=self.gvm_kg, seats=self.seats) if self._many_seats() else "no bus"
            if code != fits:
                yield (
                    f"{code} does not go with {self.seats} seats and a GVM of {fixed(self.gvm_kg, 0)} kg, "
                    f"which make it {fits}: check the category."
                )
