"""No entry of an edition stands there for nothing: each decides a case, and taking it out shows."""

from copy import deepcopy

import pytest

from tests.calculations.cases import case
from tests.calculations.rule_cases import CASES
from vehicles.calculations.read_rules import REQUIRED, read_rules
from vehicles.calculations.workup import work_up
from vehicles.reference import edition, editions, price_book

NAMES = {"discretionary": "kind", "codes": "code", "evidence": "key"}


def entries():
    for data in editions():
        yield from ((data["id"], "thresholds", name) for name in data["thresholds"])
        for part, name in NAMES.items():
            yield from ((data["id"], part, entry[name]) for entry in data.get(part, ()))


def looked_at(row, change=lambda data: data):
    """What the case comes to under the editions as they are, or as changed."""
    modifications, changes, look, _ = row
    one = case(*modifications, **changes)
    national, own = (change(deepcopy(dict(edition(name)))) for name in ("national", one.jurisdiction.lower()))
    rules = read_rules(national, own)
    return look(work_up(one, rules=rules, prices=price_book(), with_demand=False))


def without(rule):
    """Take the entry out of its edition; a number that has to be there becomes another one."""
    id_, part, name = rule

    def change(data):
        if data["id"] != id_:
            return data
        if part != "thresholds":
            data[part] = [entry for entry in data[part] if entry[NAMES[part]] != name]
            for entry in data.get("evidence", ()):
                entry["follows"] = [code for code in entry["follows"] if code != name]
            return data
        value = data[part][name]["value"]
        limits = {entry.get("limit") for entry in data.get("evidence", ())}
        if (id_ == "AU-VSB14" and name in REQUIRED) or name in limits:
            data[part][name]["value"] = "centre" if value == "right_edge" else value * 0.9
        else:
            del data[part][name]
        return data

    return change


def test_every_entry_has_a_case_and_every_case_an_entry():
    assert set(CASES) == set(entries())


@pytest.mark.parametrize("rule", CASES, ids=" ".join)
def test_the_case_comes_to_what_the_entry_says_and_rests_on_it(rule):
    row = CASES[rule]
    assert looked_at(row) == row[-1]
    try:
        changed = looked_at(row, without(rule))
    except StopIteration:  # the line itself is gone
        changed = None
    assert changed != row[-1]
