"""From the records of a vehicle to the case that the calculation module takes."""

from vehicles.calculations import ranges
from vehicles.calculations.parse_case import parse_case
from vehicles.measured import measured_data

_WORDS = ("adr_category", "fuel", "tyre")


def case_data(vehicle, *, jurisdiction, crew=None, modifications=None):
    """The case as data, in the same shape as a case file; what is not known is left out."""
    facts = {name: getattr(vehicle, name) for name in (*ranges.VEHICLE, *_WORDS, "esc")}
    if facts["market_value_aud"] is not None:
        facts["market_value_aud"] = float(facts["market_value_aud"])
    if modifications is None:
        modifications = vehicle.modifications.all()
    return {
        "jurisdiction": jurisdiction,
        "vehicle": {name: value for name, value in facts.items() if value not in (None, "")},
        "modifications": [{"kind": mod.kind, **mod.in_order()} for mod in modifications],
        "places": {name: getattr(vehicle, name) for name in ranges.PLACES if getattr(vehicle, name) is not None},
        "crew": _missing(vehicle) | (crew or {}),
        **measured_data(vehicle),
    }


def _missing(vehicle):
    kg = vehicle.missing_equipment_kg
    return {} if kg is None else {"missing_equipment_kg": kg}


def case_for(vehicle, *, jurisdiction, crew=None):
    """The case itself. Raises CaseError with every problem when the records contradict each other."""
    return parse_case(case_data(vehicle, jurisdiction=jurisdiction, crew=crew))
