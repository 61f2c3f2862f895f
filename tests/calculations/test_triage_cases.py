"""Whole cases for each jurisdiction, decided by hand from FACTS before they were computed.

The tag beside each case says how the fact that decides is known.
"""

import pytest

from tests.calculations.cases import case, done, lift
from tests.calculations.rule_cases import body, track, tyres
from vehicles.calculations.case import JURISDICTIONS
from vehicles.calculations.triage import triage
from vehicles.reference import rule_set

R, D, N, A, U = "required", "discretionary", "not_required", "not_applicable", "undecided"
LOWER = {"kind": "suspension_lowering", "front_mm": 60, "rear_mm": 40}


def gvm(kg):
    return {"kind": "gvm_upgrade", "to_kg": kg}


def seats(number):
    return {"kind": "seating_change", "seats": number}


# jurisdiction, modifications, changes to the vehicle, needs, tag of the fact that decides
TABLE = [
    # NSW: more than 75 mm, any body lift, certified body lift up to 50 mm; nothing certified within ±50 mm.
    ("NSW", [lift(75)], {}, {"LT2": N, "RIDE_HEIGHT": R}, "practice; 2nd"),
    ("NSW", [lift(75.1)], {}, {"LT2": R, "RIDE_HEIGHT": R}, "practice; 2nd"),
    ("NSW", [lift(50)], {}, {"LT2": N, "RIDE_HEIGHT": N}, "2nd"),
    ("NSW", [lift(50.1)], {}, {"LT2": N, "RIDE_HEIGHT": R}, "2nd"),
    ("NSW", [LOWER], {}, {"LT2": N, "RIDE_HEIGHT": R}, "2nd"),
    ("NSW", [body(50)], {}, {"LT2": R, "REDUCTION": N}, "practice"),
    ("NSW", [body(50.1)], {}, {"LT2": R, "REDUCTION": R}, "practice"),
    ("NSW", [{"kind": "steering_change"}], {}, {"LT2": D, "LS": D}, "practice"),
    ("NSW", [lift(40, 75.1)], {}, {"LT2": R}, "practice"),  # front and rear differ: the larger counts
    ("NSW", [lift(40), body(30), lift(6)], {}, {"LT2": R}, "practice"),  # several add up: 76 mm
    ("NSW", [lift(47.5), tyres("285/70R17")], {}, {"LT2": U}, "practice"),  # 74.75 exactly, 75.5 by the handbook
    # Queensland: free up to 75 = 50 + 25, no block; certified up to 150 = 75 + 25 + 50.
    ("QLD", [lift(50)], {}, {"LT2": D, "RIDE_HEIGHT": N, "REDUCTION": N}, "pub; 2nd"),
    ("QLD", [lift(50.1)], {}, {"RIDE_HEIGHT": R, "REDUCTION": N}, "pub"),
    ("QLD", [lift(75)], {}, {"RIDE_HEIGHT": R, "REDUCTION": N}, "pub"),
    ("QLD", [lift(75.1)], {}, {"RIDE_HEIGHT": R, "REDUCTION": R}, "pub"),
    ("QLD", [body(0.1)], {}, {"RIDE_HEIGHT": R, "REDUCTION": N}, "pub"),
    ("QLD", [body(50)], {}, {"RIDE_HEIGHT": R, "REDUCTION": N}, "pub"),
    ("QLD", [body(50.1)], {}, {"RIDE_HEIGHT": R, "REDUCTION": R}, "pub"),
    # 265/70R16 is 777.4 mm: 0.55 mm of rise, 1 mm by the handbook: far from 25 mm.
    ("QLD", [tyres("265/70R16")], {}, {"RIDE_HEIGHT": N, "REDUCTION": N}, "pub"),
    # Victoria: 75 mm in total with at most 50 mm of suspension; travel and kit are evidence.
    ("VIC", [lift(50)], {}, {"LT2": D, "RIDE_HEIGHT": N, "KIT_APPROVAL": R, "TRAVEL_LEFT": R}, "2nd"),
    ("VIC", [lift(50.1)], {}, {"RIDE_HEIGHT": R}, "2nd"),
    ("VIC", [lift(45), body(30)], {}, {"RIDE_HEIGHT": N}, "2nd"),
    ("VIC", [lift(45), body(30.1)], {}, {"RIDE_HEIGHT": R}, "2nd"),
    ("VIC", [track(10)], {}, {"RIDE_HEIGHT": D}, "not found: the signatory decides"),
    # South Australia: diameter ±15 mm, track +26 mm; no limit on rise found.
    ("SA", [lift(40)], {}, {"LT2": D, "RIDE_HEIGHT": D, "TRAVEL_LEFT": R, "CLEARANCE": R}, "pub"),
    ("SA", [track(26)], {}, {"RIDE_HEIGHT": N}, "pub"),
    ("SA", [track(26.1)], {}, {"RIDE_HEIGHT": R}, "pub"),
    ("SA", [tyres("265/70R17")], {}, {"RIDE_HEIGHT": R}, "2nd"),  # 802.8 − 776.3 = 26.5 mm
    ("SA", [tyres("265/60R17")], {}, {"RIDE_HEIGHT": R}, "2nd"),  # 26.5 mm smaller
    # Western Australia: track beyond +25 mm needs approval; no limit on rise found.
    ("WA", [track(25)], {}, {"LT2": N, "RIDE_HEIGHT": N}, "pub"),
    ("WA", [track(25.1)], {}, {"LT2": N, "RIDE_HEIGHT": R}, "pub"),
    ("WA", [lift(60)], {}, {"LT2": D, "RIDE_HEIGHT": D}, "not found: the signatory decides"),
    # Tasmania, ACT, Northern Territory: nothing found, VSB 14 assumed.
    ("TAS", [lift(60)], {}, {"LT2": D, "RIDE_HEIGHT": D, "LS3/LS4": D, "LS5/LS6": D}, "memory 60"),
    ("TAS", [lift(0)], {}, {"LT2": N, "RIDE_HEIGHT": N}, "memory 60"),
    ("ACT", [body(25)], {}, {"LT2": D, "RIDE_HEIGHT": D, "LH": D}, "memory 60"),
    ("ACT", [{"kind": "wheelbase_change", "change_mm": 600}], {}, {"LT2": D, "LT1": D, "LH3/LH4": D}, "memory 60"),
    ("NT", [{"kind": "roof_load", "mass_kg": 60, "height_mm": 2000}], {}, {"LT2": D, "PHOTOS": R}, "memory 60"),
    ("NT", [{"kind": "engine_change"}], {}, {"LT2": N, "LT3": D, "LT4": D, "LA": D, "LB": D}, "2nd; memory 85"),
    # A seating change that flips people to goods: 5 × 68 = 340 kg < (3,050 − 2,000) / 2 = 525 kg [memory 93].
    ("WA", [seats(5)],
     {"adr_category": "MB", "gvm_kg": 3050, "seats": 8, "empty_mass_kg": 2000, "front_axle_kg": 1050,
      "rear_axle_kg": 950, "fuel_level": 1}, {"CATEGORY": R, "LK": D, "LO": D, "WEIGHBRIDGE": R}, "memory 93"),
    # 7 × 68 = 476 kg is not less than (2,990 − 2,200) / 2 = 395 kg: stays for people [memory 93].
    ("WA", [seats(7)],
     {"adr_category": "MB", "gvm_kg": 2990, "seats": 8, "empty_mass_kg": 2200, "front_axle_kg": 1150,
      "rear_axle_kg": 1050, "fuel_level": 1}, {"CATEGORY": N}, "memory 93"),
    ("NSW", [{"kind": "body_change"}], {"adr_category": "NA", "empty_mass_kg": None, "front_axle_kg": None,
     "rear_axle_kg": None}, {"CATEGORY": U}, "memory 93"),
]  # fmt: skip


@pytest.mark.parametrize(("jurisdiction", "modifications", "vehicle", "needs", "tag"), TABLE)
def test_decided_by_hand(jurisdiction, modifications, vehicle, needs, tag):
    found = {line.code: line.need for line in done(*modifications, jurisdiction=jurisdiction, **vehicle).requirements}
    assert {code: found[code] for code in needs} == needs, tag


def test_every_jurisdiction_is_in_the_table():
    assert {row[0] for row in TABLE} == set(JURISDICTIONS)


@pytest.mark.parametrize("jurisdiction", JURISDICTIONS)
@pytest.mark.parametrize(
    ("kg", "needs"),
    [
        # FACTS 1 [2nd; practice]: up to and including 3,500 kg tests; from 3,501 kg a driving report.
        (3499, {"DRIVING_REPORT": N}),
        (3500, {"DRIVING_REPORT": N}),
        (3500.1, {"LT2": A, "DRIVING_REPORT": R, "BRAKE_CHECK": R, "INSURANCE": A, "WEIGHBRIDGE": R}),
        (3501, {"LT2": A, "DRIVING_REPORT": R, "BRAKE_CHECK": R, "INSURANCE": A, "WEIGHBRIDGE": R}),
    ],
)
def test_a_gvm_upgrade_crosses_the_limit_everywhere_alike(jurisdiction, kg, needs):
    found = {line.code: line.need for line in done(body(20), gvm(kg), jurisdiction=jurisdiction).requirements}
    assert {code: found[code] for code in needs} == needs
    assert (found["LT2"] == A) is (kg > 3500)


def test_the_resulting_category_brings_its_speed_and_its_load():
    work_up = done(seats(2), adr_category="MB", seats=8, gvm_kg=3050)
    texts = [reason.text for reason in work_up.requirement("CATEGORY").reasons]
    assert "Target speed 100 km/h." in texts
    assert "Test Mass 2 is the GVM of 3,050 kg." in texts


def test_beyond_certifying_says_so_and_why():
    reason = done(body(60), jurisdiction="QLD").requirement("REDUCTION").reasons[0]
    assert reason.text == (
        "Body lift 60.0 mm is more than the 50 mm that can be certified. "
        "It cannot be certified under edition QLD-2018-10."
    )


def test_evidence_follows_what_it_is_for():
    free, due = done(lift(40)), done(lift(80))
    for code in ("INSURANCE", "OVERALL_WIDTH", "DRIVER_STATEMENT", "INSPECTION_SHEET"):
        assert free.requirement(code).need == N
        assert due.requirement(code).need == R
    assert "Insurance for the market value on the day of the test" in due.requirement("LT2").evidence


def test_a_rise_that_is_too_high_by_what_is_known_is_too_high():
    half = done({"kind": "suspension_lift", "front_mm": 160}, jurisdiction="QLD")
    assert half.requirement("RIDE_HEIGHT").need == R
    assert "Overall rise 160.0 mm is more than" in " ".join(r.text for r in half.requirement("REDUCTION").reasons)


@pytest.mark.parametrize(("kind", "named"), [("tyre_change", "modifications[0].to"), ("body_lift", "lift_mm")])
def test_what_is_missing_for_a_limit_is_named(kind, named):
    line = done({"kind": kind}, jurisdiction="QLD").requirement("RIDE_HEIGHT")
    assert line.need == U
    assert any(named in text for text in line.undecided)


def test_a_track_that_is_not_measured_is_asked_for():
    line = done({"kind": "track_change", "front_mm": 10}, jurisdiction="WA").requirement("RIDE_HEIGHT")
    assert (line.need, line.undecided) == (U, ("change of track: measure front and rear",))


@pytest.mark.parametrize(("jurisdiction", "modifications", "vehicle", "needs", "tag"), TABLE)
def test_triage_and_work_up_say_the_same(jurisdiction, modifications, vehicle, needs, tag):
    one = case(*modifications, jurisdiction=jurisdiction, **vehicle)
    whole, short = done(*modifications, jurisdiction=jurisdiction, **vehicle), triage(one, rules=rule_set(jurisdiction))
    data = whole.as_dict()
    assert {key: value for key, value in short.as_dict().items() if key != "undecided"} == {
        key: data[key] for key in ("edition", "category", "height", "requirements")
    }
    assert set(short.undecided) <= set(whole.undecided)
