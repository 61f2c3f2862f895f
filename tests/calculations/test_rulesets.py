"""Editions of rules: what comes with the project, and how bad data is told."""

from copy import deepcopy

import pytest

from vehicles.calculations.case import JURISDICTIONS
from vehicles.calculations.errors import CalculationError, RuleDataError
from vehicles.calculations.read_rules import REQUIRED, read_rules
from vehicles.calculations.rulesets import UNCHECKED
from vehicles.reference import edition, editions, rule_set

NATIONAL = edition("national")
NSW = edition("nsw")


def problems(national=NATIONAL, jurisdiction=NSW):
    with pytest.raises(RuleDataError) as caught:
        read_rules(national, jurisdiction)
    return {problem.path: problem.message for problem in caught.value.problems}


def changed(data, **changes):
    copy = deepcopy(dict(data))
    for path, value in changes.items():
        *way, last = path.split("__")
        place = copy
        for step in way:
            place = place[step.replace("_dot_", ".")]
        place[last.replace("_dot_", ".")] = value
    return copy


def test_all_editions_that_come_with_the_project_are_usable():
    assert [item["jurisdiction"] for item in editions()] == [None, *JURISDICTIONS]
    assert len({item["id"] for item in editions()}) == 9
    for name in JURISDICTIONS:
        rules = rule_set(name)
        assert rules.jurisdiction == name
        assert rules.edition_ids[0] == "AU-VSB14"
    assert rule_set(None).edition_ids == ("AU-VSB14",)


def test_nobody_has_checked_what_nobody_checked():
    for item in editions():
        assert item["checked_by"] is None
        assert item["checked_on"] is None


def test_a_jurisdiction_states_only_where_it_differs():
    # Source: NSW practice 13.6 kg for each seat; some states 7 kg.
    assert rule_set("NSW").value("seat.luggage_kg") == 13.6
    assert rule_set("TAS").value("seat.luggage_kg") == 7
    assert rule_set("NSW").value("seat.occupant_kg") == 68
    assert rule_set("TAS").threshold("lt2.total_rise_mm") is None
    assert rule_set("NSW").discretions["steering_change"].edition.id == "NSW-2016-11"


def test_the_mark_goes_when_text_was_seen_or_a_signatory_has_checked():
    assert UNCHECKED in rule_set("NSW").need("lt2.total_rise_mm").cited
    assert UNCHECKED not in rule_set("QLD").need("uncertified.total_mm").cited
    checked = read_rules(NATIONAL, changed(NSW, checked_by="A. Signatory", checked_on="2025-03-01"))
    assert UNCHECKED not in checked.need("lt2.total_rise_mm").cited
    assert UNCHECKED in checked.need("lt2.gvm_limit_kg").cited


def test_comparisons():
    limit = rule_set("NSW").need("lt2.total_rise_mm")
    assert not limit.crossed(75 + 5e-10)
    assert limit.crossed(75.1)
    assert rule_set("NSW").need("driver.minimum_kg").crossed(68)
    assert not rule_set("NSW").need("driver.minimum_kg").crossed(67.9)
    with pytest.raises(CalculationError, match="a limit that is compared"):
        rule_set("NSW").need("seat.luggage_kg").crossed(1)


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ({"jurisdiction": "XX"}, "XX.jurisdiction"),
        ({"effective_from": "soon"}, "NSW.effective_from"),
        ({"source": " "}, "NSW.source"),
        ({"thresholds": []}, "NSW.thresholds"),
        ({"thresholds": {"x": 3}}, "NSW.thresholds.x"),
        ({"thresholds__seat_dot_luggage_kg__value": True}, "NSW.thresholds.seat.luggage_kg.value"),
        ({"thresholds__seat_dot_luggage_kg__value": float("nan")}, "NSW.thresholds.seat.luggage_kg.value"),
        ({"thresholds__seat_dot_luggage_kg__comparison": "<"}, "NSW.thresholds.seat.luggage_kg.comparison"),
        ({"thresholds__seat_dot_luggage_kg__quantity": "mm"}, "NSW.thresholds.seat.luggage_kg.quantity"),
        ({"thresholds__seat_dot_luggage_kg__tag": None}, "NSW.thresholds.seat.luggage_kg.tag"),
        ({"discretionary": {}}, "NSW.discretionary"),
        ({"discretionary": ["x"]}, "NSW.discretionary[0]"),
        ({"discretionary": [{"kind": "x", "source": "s", "tag": "t"}]}, "NSW.discretionary[0].kind"),
        ({"codes": [{"code": "L", "title": "t", "need": "x", "source": "s", "tag": "t"}]}, "NSW.codes[0].need"),
    ],
)
def test_bad_data_is_named(changes, path):
    assert path in problems(jurisdiction=changed(NSW, **changes))


def test_unknown_kinds_and_axles_of_a_code_are_named():
    code = {"code": "L", "title": "t", "need": "required", "source": "s", "tag": "t", "kinds": ["x"], "axle": "mid"}
    assert {"NSW.codes[0].kinds", "NSW.codes[0].axle"} <= set(problems(jurisdiction=changed(NSW, codes=[code])))


def test_the_datum_is_one_of_two():
    bad = changed(NATIONAL, thresholds__course_dot_datum__value="left")
    assert problems(bad)["national.thresholds.course.datum.value"] == "'left'; allowed: right_edge, centre"


@pytest.mark.parametrize("name", REQUIRED)
def test_what_the_work_up_needs_must_be_stated(name):
    short = changed(NATIONAL)
    del short["thresholds"][name]
    short_nsw = changed(NSW)
    short_nsw["thresholds"].pop(name, None)
    assert list(problems(short, short_nsw)) == [f"national.thresholds.{name}"]
