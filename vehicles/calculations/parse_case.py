"""From a case file to a Case: every problem is found and named, nothing is guessed."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from . import ranges
from .case import ADR_CATEGORIES, FUELS, JURISDICTIONS, Case, Crew, Places, Vehicle
from .crosscheck import contradictions
from .day_inputs import DAY_KEYS
from .errors import CalculationError, CaseError, shown
from .modifications import KINDS, Modification
from .read_measurements import MeasurementReader
from .tyres import read_tyre


def parse_case(raw: Mapping[str, object]) -> Case:
    """Read one case as case files and booking forms hold it.

    Parameters
    ----------
    raw : mapping
        The keys of a case file; lengths and masses as numbers or as text with a unit [-]

    Returns
    -------
    Case
        Lengths [mm], masses [kg]; a value that is missing or null is None

    Raises
    ------
    CaseError
        With every problem at once, each by its path.

    Examples
    --------
    >>> parse_case({"jurisdiction": "NSW", "vehicle": {"gvm_kg": "3.5 t"}}).vehicle.gvm_kg
    3500.0
    >>> parse_case({"jurisdiction": "NSW", "vehicle": {"gvm": 2950}})  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    vehicles.calculations.errors.CaseError: vehicle.gvm: unknown key; did you mean 'gvm_kg'? allowed: ...

    Source: structure, no published source.
    """
    reader = _CaseReader()
    case = reader.case(raw)
    if not reader.problems:
        reader.problems.extend(contradictions(case))
    if reader.problems:
        raise CaseError(tuple(reader.problems))
    return case


class _CaseReader(MeasurementReader):
    """Walks through the raw case and gathers problems instead of stopping at the first."""

    def case(self, raw: object) -> Case:
        # What a case file says of the test day is read by day_inputs; it is no part of the vehicle's case.
        known = (*(field.name for field in fields(Case)), *DAY_KEYS)
        top = self.mapping(raw, "case", known, prefix="")
        if top.get("vehicle") is None and isinstance(raw, Mapping):
            self.wrong("vehicle", "missing; an object with what is known of the vehicle is needed")
        return Case(
            jurisdiction=self.choice(top.get("jurisdiction"), "jurisdiction", JURISDICTIONS),
            vehicle=self.vehicle(top.get("vehicle")),
            modifications=self.modifications(top.get("modifications")),
            crew=self.crew(top.get("crew")),
            places=self.places(top.get("places")),
            corner_weights=self.corner_weights(top.get("corner_weights")),
            axle_lift=self.axle_lift(top.get("axle_lift")),
            seat_rows=self.seat_rows(top.get("seat_rows")),
        )

    def vehicle(self, raw: object) -> Vehicle:
        known = tuple(field.name for field in fields(Vehicle))
        given = self.mapping(raw, "vehicle", known)
        values: dict[str, Any] = {
            name: self.number(given.get(name), f"vehicle.{name}", row) for name, row in ranges.VEHICLE.items()
        }
        values["adr_category"] = self.choice(given.get("adr_category"), "vehicle.adr_category", ADR_CATEGORIES)
        values["fuel"] = self.choice(given.get("fuel"), "vehicle.fuel", FUELS)
        values["tyre"] = self.tyre(given.get("tyre"), "vehicle.tyre")
        values["esc"] = self.truth(given.get("esc"), "vehicle.esc")
        return Vehicle(**values)

    def crew(self, raw: object) -> Crew:
        given = self.mapping(raw, "crew", tuple(field.name for field in fields(Crew)))
        values = {name: self.number(given.get(name), f"crew.{name}", row) for name, row in ranges.CREW.items()}
        owner = self.truth(given.get("driver_is_owner"), "crew.driver_is_owner")
        return Crew(
            driver_kg=values["driver_kg"],
            instruments_kg=values["instruments_kg"] or 0.0,
            missing_equipment_kg=values["missing_equipment_kg"] or 0.0,
            driver_is_owner=bool(owner),
        )

    def places(self, raw: object) -> Places:
        given = self.mapping(raw, "places", tuple(ranges.PLACES))
        return Places(
            **{name: self.number(given.get(name), f"places.{name}", row) for name, row in ranges.PLACES.items()}
        )

    def modifications(self, raw: object) -> tuple[Modification, ...]:
        if raw is None:
            return ()
        if not isinstance(raw, list | tuple):
            self.wrong("modifications", f"{shown(raw)} is not a list; a list of objects is needed")
            return ()
        found = (self.modification(item, f"modifications[{index}]") for index, item in enumerate(raw))
        return tuple(item for item in found if item is not None)

    def modification(self, raw: object, path: str) -> Modification | None:
        given = self.mapping(raw, path, None)
        if not isinstance(raw, Mapping):
            if raw is None:
                self.wrong(path, "null is not a modification; an object with its kind is needed")
            return None
        if given.get("kind") is None:
            self.wrong(f"{path}.kind", f"missing; one of {', '.join(KINDS)}")
            return None
        key = self.choice(given["kind"], f"{path}.kind", tuple(KINDS))
        if key is None:
            return None
        kind = KINDS[key]
        self.unknown(given, path, ("kind", *kind.names))
        values: dict[str, Any] = {
            row.name: self.number(given.get(row.name), f"{path}.{row.name}", row) for row in kind.numbers
        }
        for name in kind.text:
            values[name] = self.words(given.get(name), f"{path}.{name}", name)
        return Modification(kind=key, values={k: v for k, v in values.items() if v is not None})

    def words(self, raw: object, path: str, name: str) -> str | None:
        if name == "to_category":
            return self.choice(raw, path, ADR_CATEGORIES)
        return self.tyre(raw, path)

    def tyre(self, raw: object, path: str) -> str | None:
        if raw is None:
            return None
        try:
            return read_tyre(raw if isinstance(raw, str) else repr(raw)).size
        except CalculationError as error:
            self.wrong(path, error.detail)
            return None
