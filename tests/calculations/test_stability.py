from dataclasses import replace
from importlib import import_module
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.case import Case, Vehicle
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.load_heights import WEIGHING, Load, combined, estimated
from vehicles.calculations.modifications import Modification
from vehicles.calculations.stability import band, for_masses, roll, static_stability_factor

VEHICLE = Vehicle(empty_mass_kg=2165, track_front_mm=1585, track_rear_mm=1595, overall_height_mm=1895, cg_height_mm=760)
MASSES = SimpleNamespace(
    fuel_added_kg=36.54,
    tm1_kg=2293.54,
    tm2_kg=2621.54,
    seat_ballast_kg=260.0,
    luggage_ballast_kg=68.0,
    goods_ballast_kg=0.0,
)
HEIGHT = SimpleNamespace(suspension_mm=50.0, body_mm=0.0, tyre_mm=27.25)


def stable(*, vehicle=VEHICLE, masses=MASSES, height=HEIGHT, modifications=(), **rest):
    case = Case(jurisdiction="NSW", vehicle=vehicle, modifications=modifications)
    return for_masses(case=case, masses=masses, height=height, **rest)


def changed(thing, **values):
    return SimpleNamespace(**vars(thing) | values)


# Source: worked values of the factor, printed 1.097 and 1.143.
@pytest.mark.parametrize(("track", "height", "printed"), [(1580, 720, 1.097), (1600, 700, 1.143)])
def test_static_stability_factor_as_printed(track, height, printed):
    assert static_stability_factor(track_mm=track, cg_height_mm=height) == pytest.approx(printed, abs=0.0005)


# Source: NHTSA bands of 2001: at least 1.45, 1.25, 1.13, 1.04 and below (from memory).
@pytest.mark.parametrize(
    ("ssf", "name"),
    [
        (1.45, "5 of 5"),
        (1.449, "4 of 5"),
        (1.25, "4 of 5"),
        (1.13, "3 of 5"),
        (1.04, "2 of 5"),
        (1.039, "1 of 5"),
        (0.5, "1 of 5"),
    ],
)
def test_bands(ssf, name):
    assert band(ssf) == name


@pytest.mark.parametrize("ssf", [0, -1, float("nan")])
def test_a_factor_that_cannot_be_has_no_band(ssf):
    with pytest.raises(CalculationError, match="ssf"):
        band(ssf)


# Source: van of commonroad-vehicle-models (vehicle 3), its published tracks and height; high vehicles and
# vans are printed as 1.00 to 1.30, cars as 1.30 to 1.50.
def test_a_published_van_lies_in_the_range_printed_for_vans():
    van = import_module("vehiclemodels.parameters_vehicle3").parameters_vehicle3()
    ssf = static_stability_factor(track_mm=500 * (van.T_f + van.T_r), cg_height_mm=1000 * van.h_cg)
    assert 1.00 <= ssf <= 1.30


def test_roll_threshold_is_the_factor_derated_at_both_ends():
    found = roll(track_mm=1600, cg_height_mm=700, cg_error_mm=20)
    assert (found.ssf_low, found.ssf_high) == pytest.approx((1600 / 1440, 1600 / 1360))
    assert found.threshold_low_g == pytest.approx(1600 / 1440 * 0.85)
    assert found.threshold_high_g == pytest.approx(1600 / 1360 * 0.95)


# Source: moments about the wheels of one side: m g (T/2 − |y|) = m a h for a rigid vehicle.
@pytest.mark.parametrize("side", [60, -60])
def test_off_the_middle_the_worse_side_counts(side):
    middle, off = (roll(track_mm=1600, cg_height_mm=700, cg_error_mm=0, off_middle_mm=y) for y in (0, side))
    assert off.threshold_low_g == pytest.approx((800 - 60) / 700 * 0.85)
    assert off.threshold_high_g == pytest.approx((800 - 60) / 700 * 0.95)
    assert (off.ssf, off.band) == (middle.ssf, middle.band)


@pytest.mark.parametrize("side", [800, -800, float("nan")])
def test_a_centre_of_gravity_over_the_wheels_is_refused(side):
    with pytest.raises(CalculationError, match="off_middle_mm"):
        roll(track_mm=1600, cg_height_mm=700, cg_error_mm=0, off_middle_mm=side)


def test_each_mass_counts_its_own_side():
    plain = stable()
    first, second = stable(left_of_middle_mm={"tm1": -30.0, "tm2": None})
    assert first.threshold_low_g == pytest.approx(plain[0].threshold_low_g * (795 - 30) / 795)
    assert second == plain[1]
    assert first.workings[2].inputs["y"] == "-30 mm off the middle"


@pytest.mark.parametrize("error", [-1, 700, float("nan")])
def test_an_error_as_large_as_the_height_is_refused(error):
    with pytest.raises(CalculationError, match="cg_error_mm"):
        roll(track_mm=1600, cg_height_mm=700, cg_error_mm=error)


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"track_mm": float("inf")}, "track_front_mm: inf is outside 800 to 2,300 mm"),
        ({"track_mm": 1.6, "cg_height_mm": 0.7, "cg_error_mm": 0.02}, "track_front_mm: 1.6"),
        ({"cg_height_mm": 2201}, "cg_height_mm: 2201 is outside 150 to 2,200 mm"),
        ({"off_middle_mm": float("nan")}, "off_middle_mm: nan"),
    ],
)
def test_a_track_or_a_height_that_no_light_vehicle_has_is_refused(wrong, named):
    with pytest.raises(CalculationError, match=named):
        roll(**{"track_mm": 1600, "cg_height_mm": 700, "cg_error_mm": 20} | wrong)


@pytest.mark.parametrize("height_mm", [0.0, 4300.0])
def test_loads_that_leave_no_vehicle_s_height_leave_no_estimate(height_mm):
    heavy = Modification(kind="roof_load", values={"mass_kg": 2000.0, "height_mm": height_mm})
    empty = replace(VEHICLE, cg_height_mm=None)
    assert all(one.estimated is None for one in stable(vehicle=empty, modifications=(heavy,)))


@pytest.mark.parametrize(
    ("loads", "named"),
    [
        ([(0, 700, 10)], "mass_kg: 0 kg in all is outside masses that come to more than 0 kg"),
        ([], "mass_kg: 0 kg in all"),
        ([(100, 700, 10), (-100, 800, 10)], "mass_kg: 0 kg in all"),
        ([(100, float("nan"), 10)], "height_mm: nan is outside numbers"),
        ([(float("inf"), 700, 10)], "mass_kg: inf"),
        ([(100, 700, float("nan"))], "error_mm: nan"),
    ],
)
def test_loads_that_come_to_nothing_or_are_no_numbers_are_refused(loads, named):
    with pytest.raises(CalculationError, match=named):
        combined([Load(mass_kg=m, height_mm=h, error_mm=e) for m, h, e in loads])


def test_measured_height_moves_with_what_goes_aboard():
    first, second = stable()
    # By hand: fuel at 0.25, driver and instruments at 0.48 of 1895 mm.
    by_hand = (2165 * 760 + 36.54 * 0.25 * 1895 + 92 * 0.48 * 1895) / 2293.54
    assert first.cg_height_mm == pytest.approx(by_hand)
    # Ballast on the floor at 0.33, luggage at 0.43.
    by_hand = (2293.54 * by_hand + 260 * 0.33 * 1895 + 68 * 0.43 * 1895) / 2621.54
    assert second.cg_height_mm == pytest.approx(by_hand)
    assert first.ssf == pytest.approx(1590 / 2 / first.cg_height_mm)
    assert (first.estimate, first.estimated, first.undecided) == (False, None, ())
    assert (first.mass, first.mass_kg, second.mass, second.mass_kg) == ("tm1", 2293.54, "tm2", 2621.54)
    assert [working.value for working in first.workings] == [first.cg_height_mm, first.ssf, first.threshold_low_g]
    assert first.workings[0].inputs["empty"] == "2165.0 kg at 760 ± 20 mm"
    assert first.workings[2].inputs["y"] == "not weighed, taken as the middle"
    assert first.band == "2 of 5"


def test_goods_ballast_raises_the_load():
    goods = changed(MASSES, seat_ballast_kg=0.0, luggage_ballast_kg=0.0, goods_ballast_kg=328.0)
    assert stable(masses=goods)[1].cg_height_mm > stable()[1].cg_height_mm


def test_ballast_as_loaded_takes_the_place_of_the_assumption():
    bags = Load(mass_kg=330.0, height_mm=700.0, error_mm=10.0)
    first, second = stable(ballast=bags)
    assert first == stable()[0]
    by_hand = (2293.54 * first.cg_height_mm + 330 * 700) / (2293.54 + 330)
    assert second.cg_height_mm == pytest.approx(by_hand)
    # Errors taken as all in one direction: their mean by mass.
    assert second.cg_error_mm == pytest.approx((2293.54 * first.cg_error_mm + 330 * 10) / (2293.54 + 330))


def test_the_error_of_the_weighing_widens_the_range():
    (narrow, _), (wide, _) = stable(cg_error_mm=5), stable(cg_error_mm=50)
    assert wide.ssf_low < narrow.ssf_low < narrow.ssf < narrow.ssf_high < wide.ssf_high


def test_an_unmeasured_height_stays_undecided_and_the_estimate_stands_apart():
    for found in stable(vehicle=replace(VEHICLE, cg_height_mm=None)):
        assert found.cg_height_mm is found.cg_error_mm is None
        assert found.ssf is found.ssf_low is found.threshold_low_g is found.band is None
        assert found.undecided == (WEIGHING,)
        assert "axle-lift weighing" in WEIGHING
        assert found.estimate
        assert found.estimated.ssf_low < found.estimated.ssf < found.estimated.ssf_high
        assert "estimated" in found.workings[0].quantity


def test_estimate_by_hand():
    case = Case(jurisdiction="NSW", vehicle=replace(VEHICLE, cg_height_mm=None))
    original = 1895 - 50 - 27.25
    found = estimated(case=case, height=HEIGHT)
    assert found.height_mm == pytest.approx(0.39 * original + 0.87 * 50 + 27.25)
    assert found.error_mm == pytest.approx(0.04 * original)


def test_loads_that_stay_on_the_vehicle_move_the_estimate():
    rack = Modification(kind="roof_load", values={"mass_kg": 80, "height_mm": 2000})
    bar = Modification(kind="fixed_load", values={"mass_kg": 60, "x_mm": -500, "height_mm": 600})
    unweighed = Modification(kind="roof_load", values={"height_mm": 2000})
    bare = Case(jurisdiction="NSW", vehicle=VEHICLE)
    plain = estimated(case=bare, height=HEIGHT).height_mm
    case = replace(bare, modifications=(rack, bar, unweighed))
    by_hand = (plain * (2165 - 140) + 80 * 2000 + 60 * 600) / 2165
    assert estimated(case=case, height=HEIGHT).height_mm == pytest.approx(by_hand)


@pytest.mark.parametrize(
    "vehicle",
    [
        replace(VEHICLE, overall_height_mm=None),
        replace(VEHICLE, empty_mass_kg=None),
        replace(VEHICLE, overall_height_mm=70),
    ],
)
def test_no_estimate_without_what_it_rests_on(vehicle):
    assert estimated(case=Case(jurisdiction="NSW", vehicle=vehicle), height=HEIGHT) is None


@pytest.mark.parametrize("part", ["suspension_mm", "body_mm", "tyre_mm"])
def test_no_estimate_when_a_part_of_the_rise_is_not_known(part):
    case = Case(jurisdiction="NSW", vehicle=VEHICLE)
    assert estimated(case=case, height=changed(HEIGHT, **{part: None})) is None


def test_no_estimate_when_fitted_loads_weigh_more_than_the_vehicle():
    heavy = Modification(kind="fixed_load", values={"mass_kg": 2165, "height_mm": 600})
    case = Case(jurisdiction="NSW", vehicle=VEHICLE, modifications=(heavy,))
    assert estimated(case=case, height=HEIGHT) is None


@pytest.mark.parametrize("name", ["empty_mass_kg", "overall_height_mm", "track_front_mm", "track_rear_mm"])
def test_what_is_missing_is_named(name):
    first, second = stable(vehicle=replace(VEHICLE, **{name: None}))
    assert first.ssf is None
    assert second.ssf is None
    assert [text.split(":")[0] for text in first.undecided] == [name]
    assert first.workings == ()


def test_an_unknown_test_mass_is_named():
    first, second = stable(masses=changed(MASSES, tm1_kg=None, tm2_kg=None))
    assert first.undecided == ("tm1_kg: see the masses",)
    assert second.undecided == ("tm1_kg: see the masses", "tm2_kg: see the masses")
    first, second = stable(masses=changed(MASSES, tm2_kg=None))
    assert first.ssf is not None
    assert second.ssf is None
    assert second.undecided == ("tm2_kg: see the masses",)


def test_parts_of_a_mass_that_are_not_known_count_as_nothing_when_the_mass_is():
    none = changed(MASSES, goods_ballast_kg=None)
    assert stable(masses=none)[1].cg_height_mm == stable()[1].cg_height_mm


LOADS = st.lists(
    st.builds(
        Load,
        mass_kg=st.floats(min_value=1, max_value=3000),
        height_mm=st.floats(min_value=200, max_value=2000),
        error_mm=st.floats(min_value=0, max_value=100),
    ),
    min_size=1,
    max_size=8,
)


@given(loads=LOADS)
def test_combining_conserves_mass_and_moment_and_stays_between(loads):
    whole = combined(loads)
    assert whole.mass_kg == pytest.approx(sum(load.mass_kg for load in loads))
    assert whole.mass_kg * whole.height_mm == pytest.approx(sum(load.mass_kg * load.height_mm for load in loads))
    heights = [load.height_mm for load in loads]
    assert min(heights) - 1e-6 <= whole.height_mm <= max(heights) + 1e-6
