"""Lateral acceleration against the path: what is named, and what is not."""

import numpy as np
import pytest

from tests.calculations.synthetic_run import COURSE, samples
from vehicles.calculations.lateral_check import ROLLED
from vehicles.calculations.manoeuvre import GRAVITY_MPS2, body
from vehicles.calculations.runlog import analyse, from_samples

BODY = body(width_m=1.885, length_m=4.825, front_overhang_m=0.9, wheelbase_m=2.79)


def cautions(change=lambda lateral: lateral, *, by_sensor=True, keep=None, **how):
    channels = samples(**how)
    channels["lateral_mps2"] = change(channels["lateral_mps2"])
    if keep is not None:
        inside = keep(channels["x_m"])
        channels = {name: values[inside] for name, values in channels.items()}
    return analyse(log=from_samples(**channels), course=COURSE, body=BODY, lateral_by_sensor=by_sensor).cautions


# Source: kinematics: the synthetic run's lateral acceleration is v² κ of its own path.
@pytest.mark.parametrize("how", [{}, {"noise": 1}, {"noise": 1, "rate_hz": 20}, {"speed_kmh": 110}])
def test_a_sound_sensor_is_said_to_carry_roll_and_nothing_more(how):
    assert cautions(**how) == (ROLLED,)


# Source: 6° of roll for each g, g sin of it on top of what a level sensor reads: about a tenth more.
def test_a_body_that_rolls_is_no_disagreement():
    rolled = cautions(lambda a: a + GRAVITY_MPS2 * np.sin(np.radians(6 * a / GRAVITY_MPS2)), noise=1)
    assert rolled == (ROLLED,)


# Source: g sin 5° = 0.087 g.
def test_what_the_caution_says_of_five_degrees():
    assert np.sin(np.radians(5)) == pytest.approx(0.087, abs=0.0005)
    assert "5° of body roll adds about 0.09 g" in ROLLED


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda a: -a, "the sensor shows -1.00 times what speed and path give"),
        (lambda a: a / GRAVITY_MPS2, "the sensor shows 0.10 times"),
        (lambda a: np.clip(a * 3.28, -40, 40), "the sensor shows 3.28 times"),
        (lambda a: a + 0.08 * GRAVITY_MPS2, "Lateral acceleration is +0.08 g off against speed and path"),
    ],
)
def test_sign_unit_and_bias_are_named(change, words):
    [_, said] = cautions(change)
    assert words in said
    assert cautions(change, by_sensor=False) == ()


def test_a_straight_path_or_none_says_nothing():
    channels = samples()
    straight = from_samples(**{**channels, "y_m": 0 * channels["y_m"] + 1.2})
    assert analyse(log=straight, course=COURSE, body=BODY).cautions == (ROLLED,)
    gone = cautions(lambda a: -a, speed_kmh=100, keep=lambda x: (x < -3) | (x > 128))
    assert len(gone) == 2 and gone[1] == ROLLED
