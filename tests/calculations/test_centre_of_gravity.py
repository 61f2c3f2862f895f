from math import asin, cos, hypot, radians, sin

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from vehicles.calculations.centre_of_gravity import LiftStep, combine, from_axle_lift, lateral, longitudinal
from vehicles.calculations.errors import CalculationError

# Source: worked example of an axle lift, front raised 600 mm.
LIFT = {
    "wheelbase_mm": 2750,
    "mass_kg": 2100,
    "held_axle_level_kg": 950,
    "held_axle_raised_kg": 1010,
    "raised_mm": 600,
    "static_radius_mm": 380,
}


# Source: the same example, printed 1244.0 mm, 12.602° and 731.4 mm.
def test_worked_example_of_the_axle_lift():
    assert longitudinal(wheelbase_mm=2750, front_axle_kg=1150, rear_axle_kg=950) == pytest.approx(1244.0, abs=0.05)
    found = from_axle_lift(**LIFT)
    assert found.angle_deg == pytest.approx(12.602, abs=0.0005)
    assert found.height_mm == pytest.approx(731.4, abs=0.05)


@given(
    height=st.floats(min_value=450, max_value=1200),
    ahead=st.floats(min_value=0.3, max_value=0.7),
    raised=st.floats(min_value=200, max_value=1200),
)
def test_statics_of_a_raised_vehicle_give_its_height_back(height, ahead, raised):
    """Independent of the formula: moments about the held axle with the vehicle turned by θ."""
    wheelbase, mass, radius = 2800.0, 2000.0, 380.0
    angle = asin(raised / wheelbase)
    level = mass * ahead
    # The held axle is the rear; the centre of gravity turns about its hub.
    behind_hub = wheelbase * (1 - ahead) * cos(angle) - (height - radius) * sin(angle)
    held = mass - mass * behind_hub / (wheelbase * cos(angle))
    assume(50 <= held <= mass)
    found = from_axle_lift(
        wheelbase_mm=wheelbase,
        mass_kg=mass,
        held_axle_level_kg=level,
        held_axle_raised_kg=held,
        raised_mm=raised,
        static_radius_mm=radius,
    )
    assert found.height_mm == pytest.approx(height, abs=1e-6)


def test_error_is_what_wrong_readings_do_to_the_height():
    right = from_axle_lift(**LIFT, scale_error_kg=1, angle_error_deg=0)
    up = from_axle_lift(**{**LIFT, "held_axle_raised_kg": 1011}).height_mm - right.height_mm
    level = from_axle_lift(**{**LIFT, "held_axle_level_kg": 951}).height_mm - right.height_mm
    mass = from_axle_lift(**{**LIFT, "mass_kg": 2101}).height_mm - right.height_mm
    assert right.error_mm == pytest.approx((up**2 + level**2 + mass**2) ** 0.5, rel=1e-3)

    leaning = from_axle_lift(**LIFT, scale_error_kg=0, angle_error_deg=0.1)
    turned = 2750 * sin(asin(600 / 2750) + radians(0.1))
    moved = from_axle_lift(**{**LIFT, "raised_mm": turned}).height_mm - right.height_mm
    assert leaning.error_mm == pytest.approx(abs(moved), rel=0.01)


def test_lifting_higher_leaves_less_error():
    low = from_axle_lift(**{**LIFT, "raised_mm": 300, "held_axle_raised_kg": 979})
    high = from_axle_lift(**{**LIFT, "raised_mm": 900, "held_axle_raised_kg": 1043})
    assert high.error_mm < low.error_mm


def test_steps_are_weighted_by_their_errors():
    steps = [step(h, by_reading_mm=e, angle_deg=a) for h, e, a in ((700, 10, 8), (730, 5, 12), (730, 5, 16))]
    found = combine(steps)
    # By hand: weights 1, 4, 4 → (700 + 4 × 730 + 4 × 730) / 9.
    assert found.height_mm == pytest.approx(726.667, abs=0.001)
    assert (found.error_mm, found.angle_deg) == (15, 16)


def step(height_mm=700.0, *, by_reading_mm=0.0, by_level_mm=0.0, by_mass_mm=0.0, by_angle_mm=0.0, angle_deg=10.0):
    parts = {
        "by_reading_mm": by_reading_mm,
        "by_level_mm": by_level_mm,
        "by_mass_mm": by_mass_mm,
        "by_angle_mm": by_angle_mm,
    }
    return LiftStep(height_mm=height_mm, error_mm=hypot(*parts.values()), angle_deg=angle_deg, **parts)


# By hand: 9 readings of their own leave a third; what is common to all leaves all of itself.
@pytest.mark.parametrize(
    ("parts", "error_mm"),
    [
        ({"by_reading_mm": 9}, 3),
        ({"by_reading_mm": 9, "by_level_mm": 4}, 5),
        ({"by_reading_mm": 9, "by_angle_mm": 4}, 5),
        ({"by_reading_mm": 9, "by_level_mm": 4, "by_mass_mm": 12}, 13),
    ],
)
def test_steps_that_agree_average_out_only_what_each_reads_of_its_own(parts, error_mm):
    assert combine([step(**parts)] * 9).error_mm == pytest.approx(error_mm)


# Source: Monte Carlo of the readings themselves, seed fixed: level reading and mass drawn once for a weighing, the
# axle anew in each step, the angle as one bias of the instrument, or anew in each step.
@pytest.mark.parametrize("one_instrument", [True, False])
def test_the_error_is_what_wrong_readings_do_to_the_height(one_instrument):
    length, mass, level, height, radius = 2790.0, 2165.0, 1010.0, 760.0, 380.0
    raised = np.array([400.0, 550.0, 700.0])
    angle = np.arcsin(raised / length)
    held = level + mass * np.tan(angle) / length * (height - radius)
    readings = {"wheelbase_mm": length, "static_radius_mm": radius}
    stated = combine(
        [
            from_axle_lift(**readings, mass_kg=mass, held_axle_level_kg=level, held_axle_raised_kg=w, raised_mm=h)
            for w, h in zip(held, raised, strict=True)
        ]
    )
    random, draws = np.random.default_rng(20261125), 20_000
    off = np.radians(0.2) * random.standard_normal((draws, 1 if one_instrument else 3))
    masses = mass + 2 * random.standard_normal((draws, 1))
    levels = level + 2 * random.standard_normal((draws, 1))
    axles = held + 2 * random.standard_normal((draws, 3))
    # The weights that the calculation gives: by each step's own reading and angle.
    scale = length / (mass * np.tan(angle))
    weights = 1 / ((2 * scale) ** 2 + ((height - radius) / (np.sin(angle) * np.cos(angle)) * np.radians(0.2)) ** 2)
    heights = radius + length * (axles - levels) / (masses * np.tan(angle + off))
    spread = np.average(heights, axis=1, weights=weights).std()
    assert stated.height_mm == pytest.approx(height, abs=1e-6)
    assert stated.error_mm == pytest.approx(spread, rel=0.03) if one_instrument else stated.error_mm >= spread


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"height_mm": float("nan")}, "height_mm: nan is outside numbers"),
        ({"by_reading_mm": float("inf")}, "error_mm: inf"),
        ({"by_reading_mm": 0, "by_level_mm": 9}, "error_mm: 9"),
    ],
)
def test_heights_and_errors_that_are_no_numbers_are_refused(wrong, named):
    with pytest.raises(CalculationError, match=named):
        combine([step(by_reading_mm=9), step(by_reading_mm=9), step(**{"by_reading_mm": 9} | wrong)])


def test_fewer_than_three_steps_are_refused():
    with pytest.raises(CalculationError, match="steps of lift: 2 is outside at least 3"):
        combine([step(by_reading_mm=9)] * 2)


def test_steps_without_an_error_are_refused():
    with pytest.raises(CalculationError, match="error_mm: 0"):
        combine([step()] * 3)


CORNERS = st.floats(min_value=100, max_value=900)


@given(fl=CORNERS, fr=CORNERS, rl=CORNERS, rr=CORNERS)
def test_lateral_place_balances_the_moments_of_the_corners(fl, fr, rl, rr):
    y = lateral(
        front_left_kg=fl,
        front_right_kg=fr,
        rear_left_kg=rl,
        rear_right_kg=rr,
        track_front_mm=1500,
        track_rear_mm=1600,
    )
    moments = fl * (750 - y) + fr * (-750 - y) + rl * (800 - y) + rr * (-800 - y)
    assert moments == pytest.approx(0, abs=1e-6)


@given(front=st.floats(min_value=50, max_value=5000), rear=st.floats(min_value=50, max_value=5000))
def test_longitudinal_place_balances_the_moments_of_the_axles(front, rear):
    x = longitudinal(wheelbase_mm=2800, front_axle_kg=front, rear_axle_kg=rear)
    assert front * x == pytest.approx(rear * (2800 - x))


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"wheelbase_mm": 100}, "wheelbase_mm"),
        ({"mass_kg": float("inf")}, "empty_mass_kg"),
        ({"held_axle_level_kg": 10}, "held_axle"),
        ({"raised_mm": 10}, "raised_mm"),
        ({"static_radius_mm": 900}, "static_radius_mm"),
        ({"scale_error_kg": -1}, "scale_error_kg"),
        ({"angle_error_deg": 9}, "angle_error_deg"),
        ({"wheelbase_mm": 1300, "raised_mm": 1300}, "raised_mm: 1300 is outside less than the wheelbase"),
    ],
)
def test_readings_that_cannot_be_are_refused(wrong, named):
    with pytest.raises(CalculationError, match=named):
        from_axle_lift(**LIFT | wrong)
