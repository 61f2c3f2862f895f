"""When the lane-change test is due, and what else the modifications call for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.calculations.cases import case, done, lift, need
from vehicles.calculations.read_rules import read_rules
from vehicles.calculations.rulesets import UNCHECKED
from vehicles.calculations.tyre_spread import MEASURE
from vehicles.calculations.workup import work_up
from vehicles.reference import edition, price_book

BRAKES = {"kind": "brake_change"}


def test_the_worked_example():
    requirement = done().requirement("LT2")
    assert requirement.need == "required"
    assert requirement.reasons[0].text == (
        "Overall rise 77.3 mm is more than 75 mm: suspension 50.0 mm + tyres 27.3 mm."
    )
    assert "NSW-2016-11" in requirement.reasons[0].source
    assert UNCHECKED in requirement.reasons[0].source


@pytest.mark.parametrize(
    ("modification", "expected"),
    [
        # Source: NSW practice: more than 75 mm above original; any body lift.
        (lift(75), "not_required"),
        (lift(75.1), "required"),
        (lift(40, 75.1), "required"),
        (lift(75, 40), "not_required"),
        ({"kind": "body_lift", "lift_mm": 0.1}, "required"),
        ({"kind": "body_lift", "lift_mm": 0}, "not_required"),
        ({"kind": "suspension_lowering", "front_mm": 60, "rear_mm": 60}, "not_required"),
        # Source: NSW practice: the certifier's discretion.
        ({"kind": "wheelbase_change", "change_mm": 300}, "discretionary"),
        ({"kind": "wheelbase_change", "change_mm": 0}, "not_required"),
        ({"kind": "wheelbase_change"}, "discretionary"),
        ({"kind": "steering_change"}, "discretionary"),
        # Source: VSB 14 as quoted: the centre of mass changes significantly.
        ({"kind": "roof_load", "mass_kg": 80}, "discretionary"),
        ({"kind": "roof_load", "mass_kg": 0}, "not_required"),
        ({"kind": "fixed_load"}, "discretionary"),
        ({"kind": "engine_change"}, "not_required"),
        (BRAKES, "not_required"),
    ],
)
def test_nsw(modification, expected):
    assert need("LT2", modification) == expected


@pytest.mark.parametrize("jurisdiction", ["VIC", "QLD", "SA", "WA", "TAS", "ACT", "NT"])
def test_where_no_number_was_found_the_signatory_decides(jurisdiction):
    assert need("LT2", lift(150), jurisdiction=jurisdiction) == "discretionary"
    assert need("LT2", lift(0), jurisdiction=jurisdiction) == "not_required"
    tyre = {"kind": "tyre_change", "to": "265/65R17"}
    assert need("LT2", tyre, jurisdiction=jurisdiction) == "not_required"
    assert need("LT2", {"kind": "tyre_change"}, jurisdiction=jurisdiction) == "discretionary"


def test_without_a_jurisdiction_nothing_is_ruled_out():
    requirement = done(BRAKES, jurisdiction=None).requirement("LT2")
    assert requirement.need == "undecided"
    assert requirement.undecided[0].startswith("jurisdiction:")


@pytest.mark.parametrize(
    ("gvm_kg", "lane_change", "report"),
    [
        # Source: VSB 14, section LT as quoted: up to and including 3,500 kg.
        (3499, "required", "not_required"),
        (3500, "required", "not_required"),
        (3500.1, "not_applicable", "required"),
        (3501, "not_applicable", "required"),
    ],
)
def test_the_limit_of_mass(gvm_kg, lane_change, report):
    for result in (
        done(lift(80), gvm_kg=gvm_kg),
        done(lift(80), {"kind": "gvm_upgrade", "to_kg": gvm_kg}),
    ):
        assert result.requirement("LT2").need == lane_change
        assert result.requirement("DRIVING_REPORT").need == report
        assert any("for comparison" in text for text in result.cautions) is (report == "required")


def test_an_unknown_gvm_leaves_both_open():
    for changes in ({"gvm_kg": None}, {}):
        kinds = (lift(80),) if changes else (lift(80), {"kind": "gvm_upgrade"})
        work_up = done(*kinds, **changes)
        for code in ("LT2", "DRIVING_REPORT", "BRAKE_CHECK"):
            assert work_up.requirement(code).need == "undecided"
            assert "kg" in work_up.requirement(code).undecided[0]


@pytest.mark.parametrize(
    ("modifications", "expected", "named"),
    [
        (({"kind": "suspension_lift", "front_mm": 50},), "undecided", "modifications[0].rear_mm"),
        (({"kind": "suspension_lift", "front_mm": 80},), "required", None),
        (({"kind": "suspension_lift"},), "undecided", "modifications[0].front_mm"),
        (({"kind": "body_lift"},), "undecided", "modifications[0].lift_mm"),
        (({"kind": "tyre_change"},), "undecided", "modifications[0].to"),
        (({"kind": "tyre_change"}, {"kind": "body_lift", "lift_mm": 20}), "required", None),
        (({"kind": "suspension_lift"}, {"kind": "steering_change"}), "undecided", "modifications[0].front_mm"),
    ],
)
def test_what_is_not_measured_and_would_decide(modifications, expected, named):
    requirement = done(*modifications).requirement("LT2")
    assert requirement.need == expected
    if named:
        assert named in {text.split(":")[0] for text in requirement.undecided}
    else:
        assert requirement.undecided == ()


def test_rounded_tyre_diameters_on_the_other_side_of_the_limit():
    # 27.25 mm by exact, 28 mm by handbook diameters.
    tyre = {"kind": "tyre_change", "to": "285/70R17"}
    below = done(lift(47.5), tyre).requirement("LT2")
    assert below.need == "undecided"
    assert "74.8 mm is not more than 75 mm" in " ".join(reason.text for reason in below.reasons)
    assert "it is 75.5 mm, on the other side" in " ".join(reason.text for reason in below.reasons)
    # 235/85R16 is 805.9 mm exactly and 806 in the handbook, 275/80R16 846.4 and 846: a rise of 20.25 and 20.
    larger = {"kind": "tyre_change", "to": "275/80R16"}
    above = done(lift(54.9), larger, tyre="235/85R16").requirement("LT2")
    assert above.need == "undecided"
    assert "75.2 mm is more than 75 mm" in above.reasons[1].text
    assert "it is 74.9 mm, on the other side" in above.reasons[1].text
    assert above.undecided == (MEASURE,)


def test_a_flotation_size_is_known_only_to_half_an_inch():
    # 33 in is 838.2 mm by name: a rise of 30.95 mm; made 12.7 mm smaller, 24.6 mm.
    tyre = {"kind": "tyre_change", "to": "33x12.50R17"}
    assert need("LT2", lift(44), tyre) == "not_required"  # 74.95 and 68.6 mm
    assert need("LT2", lift(50), tyre) == "undecided"  # 80.95 and 74.6 mm
    assert need("LT2", lift(50.5), tyre) == "required"  # 81.45 and 75.1 mm
    assert need("LT2", lift(50.5), {"kind": "tyre_change", "to": "33x12.50R17"}, tyre="33x12.50R17") == "not_required"


def test_a_limit_is_shown_with_the_decimals_that_decide():
    text = done(lift(75.04)).requirement("LT2").reasons[0].text
    assert text.startswith("Overall rise 75.04 mm is more than 75 mm")


@given(st.floats(0, 200), st.floats(0, 200), st.floats(0, 100))
def test_more_lift_never_needs_less(front, rear, more):
    order = ("not_required", "required")
    first, second = need("LT2", lift(front, rear)), need("LT2", lift(front + more, rear + more))
    assert order.index(first) <= order.index(second)


@pytest.mark.parametrize(("lift_mm", "expected"), [(20, "not_required"), (20.1, "required")])
def test_a_body_lift_against_a_limit_of_its_own(lift_mm, expected):
    limit = {**edition("nsw")["thresholds"]["lt2.body_lift_mm"], "value": 20}
    data = {**edition("nsw"), "thresholds": {**edition("nsw")["thresholds"], "lt2.body_lift_mm": limit}}
    one = case({"kind": "body_lift", "lift_mm": lift_mm})
    rules = read_rules(edition("national"), data)
    requirement = work_up(one, rules=rules, prices=price_book(), with_demand=False).requirement("LT2")
    assert requirement.need == expected
    assert any(f"Body lift of {lift_mm:.1f} mm is" in reason.text for reason in requirement.reasons)


def test_codes_follow_the_kinds_and_the_axles():
    codes = {item.code for item in done(lift(40, 0), BRAKES, {"kind": "engine_change"}).requirements}
    assert {"LA", "LG", "LS3/LS4"} <= codes
    assert "LS5/LS6" not in codes
    engine = done({"kind": "engine_change"}).requirement("LA")
    assert engine.need == "discretionary"
    assert engine.reasons[0].text.startswith("Falls under this section: Change of engine. LA1 equivalent")
    assert engine.evidence
    tyres = done({"kind": "tyre_change", "to": "285/70R17"}).requirement("LS")
    assert tyres.reasons[0].text == "Falls under this section: Change of tyres."


def test_brakes_are_checked_before_anyone_drives():
    assert need("BRAKE_CHECK", BRAKES) == "required"
    assert need("BRAKE_CHECK", lift(80)) == "required"
    assert need("BRAKE_CHECK", lift(80), gvm_kg=4000) == "required"
    assert need("BRAKE_CHECK", lift(10)) == "not_required"


def test_every_requirement_has_a_reason_and_a_source():
    for item in done(lift(60, 40), {"kind": "body_lift", "lift_mm": 20}, BRAKES).requirements:
        assert item.reasons
        assert all(reason.text and reason.source for reason in item.reasons)
