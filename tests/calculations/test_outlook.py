from types import SimpleNamespace

import pytest

from vehicles.calculations.case import Case, Vehicle
from vehicles.calculations.course import lay_out
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.manoeuvre import CAUTION, Demand, demand
from vehicles.calculations.outlook import cautions, outlook
from vehicles.calculations.stability import for_masses

SPEEDS = (60, 70, 80, 90, 100, 110)
DEMANDS = demand(
    width_m=1.885,
    length_m=4.825,
    front_overhang_m=0.9,
    wheelbase_m=2.79,
    speeds_kmh=SPEEDS,
    course=lay_out(width_mm=1885),
)


def stability(**changes):
    vehicle = Vehicle(
        **{
            "empty_mass_kg": 2165,
            "track_front_mm": 1585,
            "track_rear_mm": 1585,
            "overall_height_mm": 1895,
            "cg_height_mm": 760,
        }
        | changes
    )
    masses = SimpleNamespace(
        fuel_added_kg=36.54,
        tm1_kg=2293.54,
        tm2_kg=2621.54,
        seat_ballast_kg=260.0,
        luggage_ballast_kg=68.0,
        goods_ballast_kg=0.0,
    )
    height = SimpleNamespace(suspension_mm=50.0, body_mm=0.0, tyre_mm=27.25)
    return for_masses(case=Case(jurisdiction="NSW", vehicle=vehicle), masses=masses, height=height)


def flat(*peaks):
    return [Demand(speed_kmh=60 + 10 * n, peak_lateral_g=g, path=()) for n, g in enumerate(peaks)]


def test_room_care_and_over_by_hand():
    # Grip 0.68 g: room to 0.40 g, care to 0.68 g.
    found = outlook(demands=flat(0.40, 0.41, 0.68, 0.69), stability=stability(), first_max_kmh=80, grip_low_g=0.68)
    assert [row.state for row in found.rows][:4] == ["room", "careful", "careful", "over"]
    assert (found.first_kmh, found.careful_kmh, found.over_kmh) == (60, (70, 80), (90,))
    assert found.reason == "60 km/h is the highest speed up to 80 km/h with room at both masses."
    assert found.rows[0].reason == "Test Mass 1 at 60 km/h asks for at least 0.40 g of 0.68 g (grip)."


def test_the_lower_of_roll_threshold_and_grip_limits():
    high = stability(cg_height_mm=1200)
    found = outlook(demands=DEMANDS, stability=high, first_max_kmh=80)
    row = found.rows[0]
    assert (row.limited_by, row.limit_g) == ("roll", high[0].threshold_low_g)
    assert "(roll threshold)" in row.reason
    low = outlook(demands=DEMANDS, stability=stability(cg_height_mm=550), first_max_kmh=80)
    assert {row.limited_by for row in low.rows} == {"grip"}


def test_an_estimate_is_used_and_marked():
    found = outlook(demands=DEMANDS, stability=stability(cg_height_mm=None), first_max_kmh=80, grip_low_g=1.0)
    assert all(row.estimated and "estimated" in row.reason for row in found.rows)
    assert found.undecided[0].startswith("cg_height_mm")
    gripped = outlook(demands=DEMANDS, stability=stability(cg_height_mm=None), first_max_kmh=80)
    assert not any(row.estimated for row in gripped.rows)
    assert "(grip; the roll threshold, only estimated, is higher)" in gripped.rows[0].reason
    assert gripped.reason.endswith("is an estimate: measure the height of the centre of gravity.")


def test_without_any_threshold_grip_alone_is_judged_and_what_is_missing_named():
    unknown = stability(cg_height_mm=None, overall_height_mm=None)
    found = outlook(demands=DEMANDS, stability=unknown, first_max_kmh=80)
    assert {row.limited_by for row in found.rows} == {"grip"}
    assert "(grip; the roll threshold is not known)" in found.rows[0].reason
    assert "by grip alone" in found.reason
    assert [text.split(":")[0] for text in found.undecided] == ["cg_height_mm", "overall_height_mm"]


def test_speeds_that_leave_little_or_nothing_are_told():
    found = outlook(demands=flat(0.30, 0.5, 0.6, 0.7), stability=stability(), first_max_kmh=80)
    assert cautions(found) == (
        "At 90 km/h the course asks for more than the vehicle has: the engineer decides whether it is driven.",
        "At 70, 80 km/h little is left between what the course asks and what the vehicle has: the engineer decides "
        "whether it is driven.",
    )
    assert cautions(outlook(demands=flat(0.1), stability=stability(), first_max_kmh=80)) == ()


def test_what_an_estimate_fears_is_told_and_changes_no_ladder():
    tall = stability(cg_height_mm=None, overall_height_mm=2900, track_front_mm=1350, track_rear_mm=1350)
    found = outlook(demands=DEMANDS, stability=tall, first_max_kmh=80)
    assert found.over_kmh == (110,)
    told = "By estimate the course asks for more than the vehicle has at 110 km/h: measure the height"
    assert cautions(found)[0].startswith(told)


def test_the_first_speed_keeps_to_the_rules_and_both_masses_are_judged():
    found = outlook(demands=DEMANDS, stability=stability(), first_max_kmh=80)
    assert found.first_kmh == 80
    assert outlook(demands=DEMANDS, stability=stability(), first_max_kmh=60).first_kmh == 60
    assert [row.mass for row in found.rows] == ["tm1"] * 6 + ["tm2"] * 6
    assert found.caution == CAUTION


def test_where_no_speed_leaves_room_the_engineer_decides():
    found = outlook(demands=flat(0.6, 0.7), stability=stability(), first_max_kmh=80)
    assert found.first_kmh is None
    assert "the engineer decides" in found.reason


@pytest.mark.parametrize(("wrong", "named"), [({"first_max_kmh": 0}, "speed_kmh: 0"), ({"grip_low_g": 2}, "grip_g: 2")])
def test_what_cannot_be_is_refused(wrong, named):
    with pytest.raises(CalculationError, match=named):
        outlook(**{"demands": DEMANDS, "stability": stability(), "first_max_kmh": 80} | wrong)
