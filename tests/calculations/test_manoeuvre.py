from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.calculations.simulated_drive import drive, parameters
from vehicles.calculations.course import lay_out
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.gate_path import Window, least_peak
from vehicles.calculations.manoeuvre import CAUTION, GRAVITY_MPS2, body, demand

COURSE = lay_out(width_mm=1885)
BODY = {"width_m": 1.885, "length_m": 4.825, "front_overhang_m": 0.9, "wheelbase_m": 2.79}


def peaks(speeds=(80,), *, course=COURSE, **changes):
    return [d.peak_lateral_g for d in demand(**BODY | changes, speeds_kmh=speeds, course=course)]


def straight(node, y):
    """A point at y with heading along the course: two points of the body, one ahead of the other."""
    return [Window(node=node, arm_m=arm, low_m=y, high_m=y) for arm in (0.0, 1.0)]


# Source: hand-solved: a point moved by d over L, straight at both ends, needs y'' = ± 4 d / L².
@pytest.mark.parametrize(("d", "length", "intervals"), [(3.5, 30, 30), (1.0, 50, 40), (0.5, 10, 10)])
def test_lane_change_of_a_point(d, length, intervals):
    found = least_peak(intervals=intervals, step_m=length / intervals, windows=straight(0, 0) + straight(intervals, d))
    assert found.peak_curvature_pm == pytest.approx(4 * d / length**2, rel=1e-7)
    assert found.y_m[-1] == pytest.approx(d)


# Source: hand-solved: out and back, straight in the middle, is two lane changes one after the other.
def test_straight_in_the_middle_asks_for_two_whole_lane_changes():
    windows = straight(0, 0) + straight(20, 1.0) + straight(40, 0)
    found = least_peak(intervals=40, step_m=1.0, windows=windows)
    assert found.peak_curvature_pm == pytest.approx(4 / 20**2, rel=1e-7)


# Source: hand-solved: two trapezoids with ramps of p / ρ and centres L/2 apart move the point by
# d = p (L/2 − p/ρ) L/2, so p = ρ L/4 (1 − √(1 − 1/f)) with ρ = f × 32 d / L³; below f = 1 none does.
def test_lane_change_with_limited_ramp():
    d, length, intervals, f = 1.0, 40.0, 400, 2.0
    # Straight at the ends also in curvature: the first and last interval lie on the straight.
    ends = [Window(node=1, arm_m=0.0, low_m=-1e-9, high_m=1e-9)]
    ends += [Window(node=intervals - 1, arm_m=0.0, low_m=d - 1e-9, high_m=d + 1e-9)]
    windows = straight(0, 0) + straight(intervals, d) + ends
    ramp = 32 * d / length**3
    found = least_peak(intervals=intervals, step_m=length / intervals, windows=windows, ramp_pm2=f * ramp)
    by_hand = f * ramp * length / 4 * (1 - (1 - 1 / f) ** 0.5)
    # The straight intervals at the ends cost a grid of 400 less than 1 %.
    assert found.peak_curvature_pm == pytest.approx(by_hand, rel=0.01)
    with pytest.raises(CalculationError, match="gates: no path is outside gates the body can pass"):
        least_peak(intervals=intervals, step_m=length / intervals, windows=windows, ramp_pm2=0.97 * ramp)


def test_a_straight_gate_asks_for_nothing():
    windows = [Window(node=k, arm_m=0.0, low_m=-1, high_m=1) for k in range(11)]
    assert least_peak(intervals=10, step_m=1.0, windows=windows).peak_curvature_pm == pytest.approx(0, abs=1e-12)


def test_windows_that_contradict_each_other_have_no_path():
    windows = [Window(node=0, arm_m=0.0, low_m=1, high_m=0)]
    with pytest.raises(CalculationError, match="gates: no path"):
        least_peak(intervals=10, step_m=1.0, windows=windows)


# Source: kinematics: the path is the same at every speed, so the demand grows with v².
def test_without_a_rate_limit_demand_grows_with_the_square_of_speed():
    slow, fast = peaks((50, 100), jerk_mps3=None)
    assert fast == pytest.approx(4 * slow, rel=1e-9)


def test_demand_grows_with_speed():
    found = peaks((60, 70, 80, 90, 100, 110))
    assert all(a < b for a, b in pairwise(found))


def test_a_tighter_rate_limit_asks_for_more():
    found = [peaks((110,), jerk_mps3=jerk)[0] for jerk in (None, 50, 30, 20)]
    assert all(a <= b + 1e-9 for a, b in pairwise(found))
    assert found[-1] > found[0] * 1.02


def test_the_rate_limit_holds_along_the_path():
    [found] = demand(**BODY, speeds_kmh=[110], course=COURSE, jerk_mps3=20)
    x, y = np.array(found.path).T
    curvature = np.diff(np.diff(y)) / np.diff(x)[:-1] ** 2
    jerk = np.diff(curvature) / np.diff(x)[0] * (110 / 3.6) ** 3
    assert np.abs(jerk).max() <= 20 * 1.001
    assert np.abs(curvature).max() * (110 / 3.6) ** 2 / GRAVITY_MPS2 <= found.peak_lateral_g * 1.001


@settings(max_examples=15, deadline=None)
@given(narrow=st.floats(min_value=1.4, max_value=1.88), extra=st.floats(min_value=0.01, max_value=0.3))
def test_a_wider_body_on_the_same_course_needs_no_less(narrow, extra):
    [thin], [fat] = peaks(width_m=narrow), peaks(width_m=min(narrow + extra, 2.2))
    assert thin <= fat + 1e-9


def test_a_longer_body_needs_more():
    assert peaks(length_m=4.0, front_overhang_m=None) < peaks(length_m=5.5, front_overhang_m=None)


def test_no_offset_and_a_narrow_body_ask_for_nothing():
    course = lay_out(width_mm=1885, offset_m=0)
    assert peaks(course=course)[0] == pytest.approx(0, abs=1e-9)


def test_a_finer_grid_changes_less_than_a_thousandth():
    assert peaks((100,), grid_m=0.4)[0] == pytest.approx(peaks((100,))[0], rel=1e-3)


def corners(x, y, yaw, *, ahead, behind, width):
    for along in (ahead, -behind):
        for side in (width / 2, -width / 2):
            yield x + along * np.cos(yaw) - side * np.sin(yaw), y + along * np.sin(yaw) + side * np.cos(yaw)


def least_margin(course, x, y, yaw, **shape):
    """Least distance of the corners inside the lanes from their boundaries, negative when outside."""
    return min(
        min((lane.left_y_m - cy[inside]).min(), (cy[inside] - lane.right_y_m).min())
        for cx, cy in corners(x, y, yaw, **shape)
        for lane in course.lanes
        for inside in [(cx >= lane.start_m) & (cx <= lane.end_m)]
    )


def test_the_path_found_keeps_the_corners_inside_the_lanes():
    [found] = demand(**BODY, speeds_kmh=[80], course=COURSE)
    x, y = np.array(found.path).T
    shape = body(length_m=4.825, width_m=1.885, front_overhang_m=0.9, wheelbase_m=2.79)
    margin = least_margin(
        COURSE, x, y, np.arctan(np.gradient(y, x)), ahead=shape.ahead_m, behind=shape.behind_m, width=1.885
    )
    # Small slopes: up to 13 mm are lost by taking the sine of the heading for its tangent.
    assert margin > -0.03


# Source: multi-body model of commonroad-vehicle-models 3.0.2, vehicles 1 to 3, driven through the
# course clean; the bound must lie below what the simulation needed, and not far below.
@pytest.mark.parametrize(("number", "speed"), [(1, 80), (2, 60), (2, 80), (2, 100), (3, 80)])
def test_no_simulated_clean_run_needs_less_than_the_bound(number, speed):
    vehicle = parameters(number)
    course = lay_out(width_mm=vehicle.w * 1000)
    [bound] = demand(width_m=vehicle.w, length_m=vehicle.l, speeds_kmh=[speed], course=course)
    [plan] = demand(width_m=vehicle.w + 0.15, length_m=vehicle.l, speeds_kmh=[speed], course=course, jerk_mps3=25)
    path = np.array(plan.path)
    first, last = path[1] - path[0], path[-1] - path[-2]
    path = np.vstack([path[0] - 30 * first, path, path[-1] + 30 * last])
    run = drive(vehicle=vehicle, speed_mps=speed / 3.6, path=path, end_m=course.length_m + vehicle.l / 2)
    half = vehicle.l / 2
    margin = least_margin(course, run.x_m, run.y_m, run.yaw_rad, ahead=half, behind=half, width=vehicle.w)
    assert margin > 0, "the simulated run must be clean, else it proves nothing"
    simulated = np.abs(run.lateral_mps2).max() / GRAVITY_MPS2
    assert bound.peak_lateral_g <= simulated <= 2 * bound.peak_lateral_g


def test_every_demand_says_that_it_is_a_planning_aid():
    [found] = demand(**BODY, speeds_kmh=[80], course=COURSE)
    assert found.caution == CAUTION
    assert CAUTION.startswith("Planning aid only")


def test_a_demand_can_be_opened():
    [found] = demand(**BODY, speeds_kmh=[80], course=COURSE)
    assert found.working.value == found.peak_lateral_g
    assert found.working.inputs["v"] == "80 km/h"


def test_an_offset_no_body_can_follow_at_speed_is_refused():
    course = lay_out(width_mm=1885, offset_m=10)
    with pytest.raises(CalculationError, match="gates: no path"):
        demand(**BODY, speeds_kmh=[110], course=course)


def test_body_about_the_middle_of_its_wheelbase():
    found = body(width_m=1.885, length_m=4.825, front_overhang_m=0.9, wheelbase_m=2.79)
    assert (found.ahead_m, found.behind_m) == pytest.approx((2.295, 2.53))


@pytest.mark.parametrize("unknown", [{"front_overhang_m": None}, {"wheelbase_m": None}])
def test_body_about_its_middle_when_overhang_or_wheelbase_is_not_known(unknown):
    found = body(**{**BODY, **unknown})
    assert found.ahead_m == found.behind_m == pytest.approx(4.825 / 2)


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"width_m": 2.7}, "width_m: 2.7"),
        ({"width_m": 2.5}, "width_m: 2.5 is outside the lane of section 1, 2.3235 m wide"),
        ({"length_m": float("nan")}, "length_m: nan"),
        ({"wheelbase_m": 4.5}, "front_overhang_m and wheelbase_m: 0.9 \\+ 4.5 m is outside a body of 4.825 m"),
        ({"front_overhang_m": -0.1}, "front_overhang_m and wheelbase_m"),
        ({"speeds_kmh": [200]}, "speed_kmh: 200"),
        ({"jerk_mps3": 1}, "jerk_mps3: 1"),
        ({"grid_m": 0}, "grid_m: 0"),
    ],
)
def test_what_cannot_be_is_refused(wrong, named):
    with pytest.raises(CalculationError, match=named):
        demand(**BODY | {"speeds_kmh": [80], "course": COURSE} | wrong)


def test_a_body_that_is_just_long_enough_is_one():
    """1.1 + 2.2 m is 3.3000000000000003 in binary; it is a body of 3.3 m."""
    assert body(width_m=1.7, length_m=3.3, front_overhang_m=1.1, wheelbase_m=2.2).behind_m == pytest.approx(1.1)
