"""One case, shared by the tests of the work-up: the worked example, and changes to it."""

import json
from copy import deepcopy
from pathlib import Path

from vehicles.calculations.parse_case import parse_case
from vehicles.calculations.workup import work_up
from vehicles.reference import price_book, rule_set

CASES = Path(__file__).resolve().parent.parent / "data" / "cases"
EXAMPLE = json.loads((CASES / "nsw_wagon.json").read_text(encoding="utf-8"))


def raw(*modifications, jurisdiction="NSW", crew=None, places=None, **vehicle):
    """The example as raw data with these modifications in place of its own, if any are given."""
    data = deepcopy(EXAMPLE)
    data["jurisdiction"] = jurisdiction
    data["vehicle"].update(vehicle)
    data["crew"].update(crew or {})
    data["places"] = places
    if modifications:
        data["modifications"] = list(modifications)
    return data


def case(*modifications, **changes):
    return parse_case(raw(*modifications, **changes))


def done(*modifications, **changes):
    """The work-up of such a case, without the linear programme."""
    one = case(*modifications, **changes)
    return work_up(one, rules=rule_set(one.jurisdiction), prices=price_book(), with_demand=False)


def need(code, *modifications, **changes):
    return done(*modifications, **changes).requirement(code).need


def lift(front_mm, rear_mm=None):
    return {"kind": "suspension_lift", "front_mm": front_mm, "rear_mm": front_mm if rear_mm is None else rear_mm}
