"""The ledger of heights and the limits of the jurisdictions."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.calculations.cases import case, done, lift
from vehicles.calculations.height import ledger

LENGTHS = st.floats(0, 400, allow_nan=False)


def test_the_worked_example():
    # Source: the worked example of the work-up: 50 + 0 + 27.25 = 77.25 mm.
    height = ledger(case())
    assert (height.suspension_mm, height.body_mm, height.tyre_mm, height.total_mm) == (50, 0, 27.25, 77.25)
    assert height.handbook_total_mm == 78
    assert height.composition == "suspension 50.0 mm + tyres 27.3 mm"


def test_fifty_of_suspension_and_fifty_of_diameter_are_seventy_five():
    # Source: common practice (2 or more public sources): 50 mm + 50 mm diameter = 75 mm.
    # 225/75R16 is 743.9 mm; 50 mm more by a flotation size of 31.25 in = 793.75 mm is 49.85.
    height = ledger(case(lift(50), {"kind": "tyre_change", "to": "31.25x10.5R16LT"}, tyre="225/75R16"))
    assert height.total_mm == pytest.approx(75, abs=0.08)


def test_the_larger_axle_counts_and_lowering_counts_against_it():
    lowered = {"kind": "suspension_lowering", "front_mm": 10, "rear_mm": 40}
    height = ledger(case(lift(30, 50), lowered))
    assert (height.front_mm, height.rear_mm, height.suspension_mm) == (20, 10, 20)
    assert height.composition == "suspension 20.0 mm (front 20.0, rear 10.0: the larger counts)"
    assert ledger(case({"kind": "brake_change"})).composition == "nothing changes it"


def test_what_is_not_measured_is_named():
    height = ledger(case({"kind": "suspension_lift", "front_mm": 60}, {"kind": "body_lift"}))
    assert (height.suspension_mm, height.body_mm, height.total_mm, height.least_mm) == (None, None, None, 60)
    assert [text.split(":")[0] for text in height.undecided] == ["modifications[0].rear_mm", "modifications[1].lift_mm"]
    bare = ledger(case({"kind": "suspension_lift"}, {"kind": "tyre_change"}, tyre=None))
    assert bare.least_mm is None
    assert {"vehicle.tyre", "modifications[1].to"} <= {text.split(":")[0] for text in bare.undecided}


@given(LENGTHS, LENGTHS, st.floats(0, 300, allow_nan=False))
def test_the_total_is_its_parts_and_grows_with_each(front, rear, block):
    body = {"kind": "body_lift", "lift_mm": block}
    height = ledger(case(lift(front, rear), body))
    assert height.total_mm == pytest.approx(max(front, rear) + block)
    assert height.least_mm == pytest.approx(height.total_mm)
    more = ledger(case(lift(front, rear), body, lift(1)))
    assert more.total_mm == pytest.approx(height.total_mm + 1)


def crossed(*modifications, **changes):
    return {check.name: check.crossed for check in done(*modifications, **changes).limits}


@pytest.mark.parametrize(("mm", "over"), [(50, False), (50.1, True)])
def test_nsw_suspension_both_ways(mm, over):
    # Source: NSW manual "Suspension and ride height" 1.0 as quoted: ±50 mm.
    assert crossed(lift(mm))["uncertified.suspension_mm"] is over
    lowered = {"kind": "suspension_lowering", "front_mm": mm, "rear_mm": 0}
    assert crossed(lowered)["uncertified.suspension_mm"] is over


def test_nsw_limits_on_the_mixture_apply_to_the_mixture():
    tyre = {"kind": "tyre_change", "to": "285/70R17"}
    assert "uncertified.tyre_diameter_mm" not in crossed(tyre)
    assert crossed(tyre, lift(10))["uncertified.tyre_diameter_mm"] is True
    assert crossed(tyre)["uncertified.tyre_percent"] is True  # 7.02 %


@pytest.mark.parametrize(
    ("jurisdiction", "modification", "name", "over"),
    [
        # Source: Queensland from 26 October 2018: tyres 25 mm, no body block; certified 150 in total.
        ("QLD", {"kind": "body_lift", "lift_mm": 1}, "uncertified.body_mm", True),
        ("QLD", {"kind": "body_lift", "lift_mm": 50}, "certified.body_mm", False),
        ("QLD", {"kind": "body_lift", "lift_mm": 50.1}, "certified.body_mm", True),
        ("QLD", lift(150), "certified.total_mm", False),
        ("QLD", lift(150.1), "certified.total_mm", True),
        ("QLD", {"kind": "tyre_change", "to": "285/70R17"}, "uncertified.tyre_mm", True),
        # Source: Victoria VSI 8, October 2011, as quoted.
        ("VIC", {"kind": "body_lift", "lift_mm": 75}, "uncertified.total_mm", False),
        ("VIC", {"kind": "body_lift", "lift_mm": 75.1}, "uncertified.total_mm", True),
        # Source: South Australia, regulation 25: track +26 mm; Western Australia, regulation 235: +25 mm.
        ("SA", {"kind": "track_change", "front_mm": 26, "rear_mm": 0}, "uncertified.track_mm", False),
        ("SA", {"kind": "track_change", "front_mm": 0, "rear_mm": 26.1}, "uncertified.track_mm", True),
        ("WA", {"kind": "track_change", "front_mm": 25, "rear_mm": 25}, "uncertified.track_mm", False),
        ("WA", {"kind": "track_change", "front_mm": 25.1}, "uncertified.track_mm", True),
        ("WA", {"kind": "track_change", "front_mm": 25}, "uncertified.track_mm", None),
        # Source: South Australia as quoted: tyre diameter ±15 mm.
        ("SA", {"kind": "tyre_change", "to": "265/60R17"}, "uncertified.tyre_diameter_mm", True),
        ("SA", {"kind": "tyre_change"}, "uncertified.tyre_diameter_mm", None),
    ],
)
def test_limits_of_the_other_jurisdictions(jurisdiction, modification, name, over):
    work_up = done(modification, jurisdiction=jurisdiction)
    assert {check.name: check.crossed for check in work_up.limits}[name] is over
    needs = {True: "required", False: "not_required", None: "undecided"}
    if name.startswith("uncertified"):
        assert work_up.requirement("RIDE_HEIGHT").need == needs[over]


def test_without_a_limit_the_signatory_decides():
    # FACTS: Tasmania not found, VSB 14 assumed; Western Australia only a limit on track.
    for jurisdiction in ("TAS", "WA"):
        requirement = done(lift(60), jurisdiction=jurisdiction).requirement("RIDE_HEIGHT")
        assert requirement.need == "discretionary"
        assert "states no limit" in requirement.reasons[-1].text
    assert not [item for item in done({"kind": "engine_change"}).requirements if item.code == "RIDE_HEIGHT"]
