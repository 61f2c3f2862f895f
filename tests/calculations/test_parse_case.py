"""Reading a case: what is usable, and every problem of what is not."""

import json
from dataclasses import asdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.calculations.cases import EXAMPLE, raw
from vehicles.calculations.case_file import read_whole_text
from vehicles.calculations.errors import CaseError
from vehicles.calculations.parse_case import parse_case


def problems(data):
    with pytest.raises(CaseError) as caught:
        parse_case(data)
    return {problem.path: problem.message for problem in caught.value.problems}


def test_the_example_is_read_as_it_stands():
    case = parse_case(EXAMPLE)
    assert asdict(case.vehicle) == EXAMPLE["vehicle"]
    assert case.modifications[1].words("to") == "285/70R17"
    assert case.modifications[0].number("front_mm") == 50
    assert (case.crew.driver_kg, case.crew.instruments_kg, case.crew.driver_is_owner) == (80, 12, False)


def test_units_and_spellings():
    data = raw({"kind": "Suspension_Lift", "front_mm": "2 in", "rear_mm": '2"'}, jurisdiction="nsw", gvm_kg="2.95 t")
    case = parse_case({**data, "crew": None})
    assert case.modifications[0].number("front_mm") == 50.8
    assert (case.jurisdiction, case.vehicle.gvm_kg, case.crew.driver_kg) == ("NSW", 2950, None)


def test_a_case_may_know_almost_nothing():
    case = parse_case({"vehicle": {}})
    assert case.jurisdiction is None
    assert case.modifications == ()
    assert set(asdict(case.vehicle).values()) == {None}


def test_every_problem_at_once():
    found = problems(
        {
            "jurisdiction": "XX",
            "vehicle": {"gvm": 2950, "gvm_kg": 40, "seats": 5.5, "adr_category": "MX", "esc": 1, "tyre": "round"},
            "modifications": [{"kind": "tyre_change", "to": 5}, {"kind": "chop"}, {}, None, 3],
            "crew": [],
            "colour": "red",
        }
    )
    assert found["jurisdiction"] == "'XX' is not known; one of NSW, VIC, QLD, SA, WA, TAS, ACT, NT"
    assert found["vehicle.gvm"].startswith("unknown key; did you mean 'gvm_kg'? allowed: ")
    assert found["vehicle.gvm_kg"] == "40 is outside 300 to 12,000 kg"
    assert found["vehicle.seats"] == "5.5 is outside whole numbers from 1 to 24"
    assert "one of MA, MB, MC" in found["vehicle.adr_category"]
    assert found["vehicle.esc"] == "1 is neither true nor false; allowed: true, false"
    assert "265/65R17" in found["vehicle.tyre"]
    assert "265/65R17" in found["modifications[0].to"]
    assert "one of suspension_lift" in found["modifications[1].kind"]
    assert found["modifications[2].kind"].startswith("missing; one of suspension_lift")
    assert "an object with its kind" in found["modifications[3]"]
    assert "is not an object" in found["modifications[4]"]
    assert "is not an object" in found["crew"]
    assert found["colour"] == (
        "unknown key; allowed: jurisdiction, vehicle, modifications, crew, places, corner_weights, axle_lift, "
        "seat_rows, weather, runs, log"
    )


@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), float("-inf"), 1e999, 10**400, True, [], {}, -1, "-1", "0.1 t"]
)
def test_numbers_that_are_none_or_out_of_range_are_refused(value):
    assert "300 to 12,000 kg" in problems(raw(gvm_kg=value))["vehicle.gvm_kg"]


def test_words_for_a_number_are_refused_with_the_units():
    assert "kg, g, t, lb" in problems(raw(gvm_kg="heavy"))["vehicle.gvm_kg"]
    assert problems(raw(fuel_level="half"))["vehicle.fuel_level"].startswith("'half' is not a number")


@pytest.mark.parametrize(
    ("name", "low", "high", "step"),
    [
        # Source: the ranges that the case format states.
        ("gvm_kg", 300, 12_000, 0.1),
        ("overall_width_mm", 1_000, 2_600, 0.1),
        ("seats", 1, 24, 1),
        ("fuel_level", 0, 1, 0.001),
    ],
)
def test_ranges_hold_to_the_last_digit(name, low, high, step):
    bare = {"vehicle": {name: low}}
    assert getattr(parse_case(bare).vehicle, name) == low
    assert getattr(parse_case({"vehicle": {name: high}}).vehicle, name) == high
    for value in (low - step, high + step):
        assert list(problems({"vehicle": {name: value}})) == [f"vehicle.{name}"]


@pytest.mark.parametrize(("rear_kg", "fits"), [(1036.65, True), (1036.7, False), (993.35, True), (993.3, False)])
def test_axles_add_up_to_the_empty_mass_within_one_per_cent(rear_kg, fits):
    data = raw(rear_axle_kg=rear_kg)
    if fits:
        assert parse_case(data).vehicle.rear_axle_kg == rear_kg
    else:
        assert "within 1 % of it (21.7 kg)" in problems(data)["vehicle.front_axle_kg"]


@pytest.mark.parametrize(
    ("vehicle", "path"),
    [
        ({"track_front_mm": 1885}, "vehicle.track_front_mm"),
        ({"track_rear_mm": 1900}, "vehicle.track_rear_mm"),
        ({"wheelbase_mm": 4825}, "vehicle.wheelbase_mm"),
        ({"cg_height_mm": 1790, "overall_height_mm": 1700}, "vehicle.cg_height_mm"),
        ({"wheelbase_mm": 3926}, "vehicle.front_overhang_mm"),
    ],
)
def test_measurements_that_cannot_both_be_true(vehicle, path):
    assert list(problems(raw(**vehicle))) == [path]


def test_an_overloaded_vehicle_is_not_a_contradiction():
    assert parse_case(raw(gvm_kg=2000)).vehicle.empty_mass_kg == 2165


def test_what_ends_a_state_stands_once():
    twice = raw({"kind": "gvm_upgrade", "to_kg": 3300}, {"kind": "gvm_upgrade", "to_kg": 3500})
    assert "a second gvm_upgrade" in problems(twice)["modifications[1].kind"]
    lifts = raw({"kind": "body_lift", "lift_mm": 10}, {"kind": "body_lift", "lift_mm": 10})
    assert len(parse_case(lifts).modifications) == 2


def test_modifications_are_a_list():
    assert "is not a list" in problems({"vehicle": {}, "modifications": {"kind": "body_lift"}})["modifications"]


def test_keys_that_would_break_a_line_are_quoted():
    assert "'a\\nb'" in problems({"vehicle": {}, "a\nb": 1})
    assert list(problems({"vehicle": {"\ud800": 1}})) == ["vehicle.'\\ud800'"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "not JSON"),
        (b"{", "not JSON"),
        (b"\xff\xfe", "not text in UTF-8"),
        (b"[]", r"\[\] is not an object"),
        (b"null", "None is not an object"),
        (b"{}", "vehicle: missing"),
        (b"[" * 200_000, "nested too deeply"),
        (b'{"vehicle": {"gvm_kg": ' + b"9" * 5000 + b"}}", "too many digits"),
        (b'{"vehicle": {"gvm_kg": 1, "gvm_kg": 2}}', "'gvm_kg' stands twice"),
        (b'{"vehicle": {"gvm_kg": NaN}}', "nan is outside"),
    ],
)
def test_files_that_are_no_case(content, said):
    with pytest.raises(CaseError, match=said):
        read_whole_text(content)


def test_a_byte_order_mark_is_no_problem():
    case, day = read_whole_text(b"\xef\xbb\xbf" + json.dumps(EXAMPLE).encode())
    assert (case, day.given) == (parse_case(EXAMPLE), False)


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)
SHAPED = st.fixed_dictionaries(
    {},
    optional={
        "jurisdiction": ANYTHING,
        "vehicle": ANYTHING | st.dictionaries(st.sampled_from(list(EXAMPLE["vehicle"])), ANYTHING, max_size=6),
        "modifications": ANYTHING
        | st.lists(
            st.fixed_dictionaries(
                {"kind": st.sampled_from(["tyre_change", "body_lift"])}, optional={"to": ANYTHING, "lift_mm": ANYTHING}
            ),
            max_size=3,
        ),
        "crew": ANYTHING,
        "places": ANYTHING,
    },
)


@given(SHAPED)
def test_whatever_comes_in_is_read_or_refused_line_by_line(data):
    try:
        parse_case(data)
    except CaseError as error:
        assert error.problems
        assert all("\n" not in str(problem) and len(str(problem)) < 1000 for problem in error.problems)
