from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.course import lay_out
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.site import Site, fits, run_off, run_up

COURSE = lay_out(width_mm=1885)
STRIP = Site(before_m=350, course_length_m=130, after_m=350, width_m=15, level=True)


# Source: AASHTO stopping distance, 3.4 m/s² and 2.5 s, as printed.
@pytest.mark.parametrize(("speed", "printed"), [(80, 128.2), (100, 182.9), (110, 213.7)])
def test_run_off_as_printed(speed, printed):
    assert run_off(speed_kmh=speed) == pytest.approx(printed, abs=0.05)


# Source: the same, 80 km/h: braking 72.6 m, reaction 55.6 m.
def test_the_parts_of_the_run_off_as_printed():
    braking = run_off(speed_kmh=80, reaction_s=0)
    assert braking == pytest.approx(72.6, abs=0.05)
    assert run_off(speed_kmh=80) - braking == pytest.approx(55.6, abs=0.05)
    assert run_off(speed_kmh=80, margin_m=20) - run_off(speed_kmh=80) == pytest.approx(20)


# Source: run-up to 110 km/h at 1.5 m/s², printed 311.2 m.
def test_run_up_as_printed():
    assert run_up(speed_kmh=110) == pytest.approx(311.2, abs=0.05)


def test_a_long_strip_fits_both_ways():
    found = fits(site=STRIP, course=COURSE, speed_kmh=110)
    assert found.need == "met"
    assert [d.need for d in found.directions] == ["met", "met"]
    assert (found.run_up_m, found.run_off_m) == pytest.approx((311.2, 233.7), abs=0.05)
    assert found.undecided == ()
    assert [w.value for w in found.workings] == [found.run_up_m, found.run_off_m]


def test_one_direction_is_enough_and_the_other_says_how_short_it_is():
    found = fits(site=replace(STRIP, after_m=240), course=COURSE, speed_kmh=110)
    forward, back = found.directions
    assert (found.need, forward.need, back.need) == ("met", "met", "not_met")
    # By hand: 311.2 − 240 − 5 m spare on the strip.
    assert back.short_m == pytest.approx(66.2, abs=0.05)
    assert (back.start_from_m, back.start_to_m) == (None, None)
    assert "back: needs run-up 311.2 m" in back.reason
    assert "short by 66.2 m" in back.reason


def test_spare_strip_serves_run_up_and_run_off():
    site = Site(before_m=300, course_length_m=150, after_m=230, width_m=15, level=True)
    forward = fits(site=site, course=COURSE, speed_kmh=110).directions[0]
    # By hand: 11.2 m of the run-up and 3.7 m of the run-off lie on the strip of 25 m spare.
    assert (forward.start_from_m, forward.start_to_m) == pytest.approx((11.2, 21.3), abs=0.05)
    assert "section 1 begins 11.2 to 21.3 m along it" in forward.reason


def test_a_strip_shorter_than_the_course_does_not_fit():
    found = fits(site=replace(STRIP, course_length_m=120), course=COURSE, speed_kmh=80)
    assert [d.short_m for d in found.directions] == pytest.approx([5, 5])
    assert found.need == "not_met"


def test_width_needed_is_the_outermost_boundaries_and_both_margins():
    found = fits(site=STRIP, course=COURSE, speed_kmh=80, side_margin_m=2)
    assert found.width_m == pytest.approx(3.5 + 1.2 * 1.885 + 0.25 + 4)
    narrow = fits(site=replace(STRIP, width_m=9), course=COURSE, speed_kmh=80, side_margin_m=2)
    assert narrow.need == "not_met"
    assert "width: needs 10.0 m, has 9.0 m" in narrow.reasons


def test_a_site_that_is_not_level_does_not_do():
    found = fits(site=replace(STRIP, level=False), course=COURSE, speed_kmh=80)
    assert found.need == "not_met"
    assert "level: the site is not level" in found.reasons


@pytest.mark.parametrize("name", ["before_m", "course_length_m", "after_m", "width_m", "level"])
def test_what_is_not_known_of_the_site_is_named(name):
    found = fits(site=replace(STRIP, **{name: None}), course=COURSE, speed_kmh=80)
    assert found.need == "unknown"
    assert [text.split(":")[0] for text in found.undecided] == [name]


LENGTHS = st.floats(min_value=0, max_value=600)


@given(before=LENGTHS, strip=LENGTHS, after=LENGTHS, speed=st.integers(min_value=40, max_value=110))
def test_turning_the_site_round_swaps_the_directions(before, strip, after, speed):
    site = Site(before_m=before, course_length_m=strip, after_m=after, width_m=15, level=True)
    turned = replace(site, before_m=after, after_m=before)
    forward, back = fits(site=site, course=COURSE, speed_kmh=speed).directions
    forward_turned, back_turned = fits(site=turned, course=COURSE, speed_kmh=speed).directions
    assert (forward.need, forward.short_m) == (back_turned.need, back_turned.short_m)
    assert (back.need, back.short_m) == (forward_turned.need, forward_turned.short_m)


@given(before=LENGTHS, strip=LENGTHS, after=LENGTHS, speed=st.integers(min_value=40, max_value=110))
def test_where_it_fits_there_is_room_for_everything(before, strip, after, speed):
    site = Site(before_m=before, course_length_m=strip, after_m=after, width_m=15, level=True)
    found = fits(site=site, course=COURSE, speed_kmh=speed)
    forward = found.directions[0]
    if forward.need == "met":
        for start in (forward.start_from_m, forward.start_to_m):
            assert 0 <= start <= strip - 125 + 1e-9
            assert before + start >= found.run_up_m - 1e-9
            assert after + strip - 125 - start >= found.run_off_m - 1e-9
    else:
        assert before + strip + after < found.run_up_m + 125 + found.run_off_m or strip < 125 + max(
            0, found.run_up_m - before
        ) + max(0, found.run_off_m - after)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: run_up(speed_kmh=200), "speed_kmh: 200"),
        (lambda: run_up(speed_kmh=100, acceleration_mps2=0), "acceleration_mps2: 0"),
        (lambda: run_off(speed_kmh=100, deceleration_mps2=12), "deceleration_mps2: 12"),
        (lambda: run_off(speed_kmh=100, reaction_s=-1), "reaction_s: -1"),
        (lambda: run_off(speed_kmh=100, margin_m=float("inf")), "margin_m: inf"),
        (lambda: fits(site=STRIP, course=COURSE, speed_kmh=80, side_margin_m=-1), "margin_m: -1"),
        (lambda: replace(STRIP, width_m=-1), "space_m: -1"),
    ],
)
def test_what_cannot_be_is_refused(call, named):
    with pytest.raises(CalculationError, match=named):
        call()
