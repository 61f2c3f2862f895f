from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.calculations.synthetic_run import COURSE, log, path, samples
from vehicles.calculations.course import lay_out
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.lateral_check import ROLLED
from vehicles.calculations.manoeuvre import GRAVITY_MPS2, body
from vehicles.calculations.runlog import analyse, from_samples, passes

BODY = body(width_m=1.885, length_m=4.825, front_overhang_m=0.9, wheelbase_m=2.79)


def analysed(**how):
    return analyse(log=log(**how), course=COURSE, body=BODY)


def true_peak_g(**how):
    fine = samples(**how | {"rate_hz": 1000, "noise": 0})
    inside = (fine["x_m"] >= 0) & (fine["x_m"] <= 125)
    return np.abs(fine["lateral_mps2"][inside]).max() / GRAVITY_MPS2


def time_between(start, end, *, speed_kmh=80.0, braking=0.5):
    """Uniform braking: t = (v0 − √(v0² − 2 b x)) / b."""
    speed = speed_kmh / 3.6
    first, last = (speed - np.sqrt(speed**2 - 2 * braking * x) for x in (start, end))
    return (last - first) / braking


# Source: synthetic run with known answers (uniform braking along a smooth path), no noise.
@pytest.mark.parametrize("rate_hz", [10, 50, 100, 200])
def test_known_answers_come_back(rate_hz):
    found = analysed(rate_hz=rate_hz)
    assert found.entry_kmh == pytest.approx(80, abs=0.01)
    exit_kmh = 3.6 * np.sqrt((80 / 3.6) ** 2 - 2 * 0.5 * 125)
    assert found.exit_kmh == pytest.approx(exit_kmh, abs=0.01)
    assert found.kept == pytest.approx(exit_kmh / 80, abs=0.0005)
    assert found.lowest_kmh == pytest.approx(exit_kmh, abs=0.01)
    # Ten samples a second cut the peak a little.
    assert found.peak_lateral_g == pytest.approx(true_peak_g(), rel=0.02 if rate_hz == 10 else 0.003)
    assert found.rate_hz == pytest.approx(rate_hz)
    for section, length in zip(found.sections, COURSE.sections, strict=True):
        expected = time_between(length.start_m, length.end_m)
        assert section.time_s == pytest.approx(expected, abs=0.002)
        assert section.mean_kmh == pytest.approx(3.6 * length.length_m / expected, abs=0.2)
    assert found.cautions == (ROLLED,)
    assert found.entry_error_kmh == pytest.approx(0, abs=0.02)


# Source: the same with noise: 20 mm of place, 0.05 m/s of speed, 0.3 m/s² of acceleration.
@settings(max_examples=20, deadline=None)
@given(seed=st.integers(min_value=0, max_value=2**32 - 1), rate_hz=st.sampled_from([20, 50, 100, 200]))
def test_known_answers_come_back_from_noise(seed, rate_hz):
    found = analysed(rate_hz=rate_hz, noise=1, seed=seed)
    assert found.entry_kmh == pytest.approx(80, abs=1.0)
    assert found.kept == pytest.approx(np.sqrt(1 - 125 / (80 / 3.6) ** 2), abs=0.02)
    assert found.peak_lateral_g == pytest.approx(true_peak_g(), abs=0.08)
    assert sum(s.time_s for s in found.sections) == pytest.approx(time_between(0, 125), abs=0.01)
    assert found.nearest.margin_m == pytest.approx(analysed().nearest.margin_m, abs=0.12)


def outline_distance(px, py, x, y, yaw):
    """Independent distance from a point to the body: least over its four sides, negative inside."""
    corners = [
        (x + a * np.cos(yaw) - b * np.sin(yaw), y + a * np.sin(yaw) + b * np.cos(yaw))
        for a, b in (
            (BODY.ahead_m, BODY.width_m / 2),
            (BODY.ahead_m, -BODY.width_m / 2),
            (-BODY.behind_m, -BODY.width_m / 2),
            (-BODY.behind_m, BODY.width_m / 2),
        )
    ]
    least, inside = np.inf, True
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
        side = np.array([bx - ax, by - ay])
        t = np.clip(np.dot([px - ax, py - ay], side) / (side @ side), 0, 1)
        least = min(least, np.hypot(px - ax - t * side[0], py - ay - t * side[1]))
        inside &= side[0] * (py - ay) - side[1] * (px - ax) < 0
    return -least if inside else least


# Source: plane geometry, computed another way in the test along the known path.
def test_margins_to_all_cones_along_a_known_path():
    found = analysed()
    places = np.arange(-5, 131, 0.05)
    y, slope, _ = path(places)
    for margin in found.margins:
        cone = margin.cone
        near = np.abs(places - cone.x_m) < 5
        least = min(
            outline_distance(cone.x_m, cone.y_m, *at)
            for at in zip(places[near], y[near], np.arctan(slope[near]), strict=True)
        )
        assert margin.margin_m == pytest.approx(least, abs=0.01)
    assert found.nearest.margin_m == min(margin.margin_m for margin in found.margins)


# Source: by hand: straight in lane 1 at y = 1.16 m, the body 1.885 m wide: 0.2175 m to the right.
def test_margin_on_the_straight_by_hand():
    first = analysed().margins[0]
    assert (first.cone.x_m, first.cone.side) == (0, "right")
    assert first.margin_m == pytest.approx(1.16 - 1.885 / 2, abs=0.001)


def test_a_cone_driven_over_has_a_negative_margin():
    channels = samples()
    channels["y_m"] = channels["y_m"] - 0.5
    found = analyse(log=from_samples(**channels), course=COURSE, body=BODY)
    assert found.nearest.margin_m == pytest.approx(1.16 - 0.5 - 1.885 / 2, abs=0.02)
    assert found.nearest.margin_m < 0


def test_a_drop_out_is_named():
    channels = samples()
    keep = (channels["time_s"] < 4) | (channels["time_s"] > 4.5)
    found = analyse(
        log=from_samples(**{name: values[keep] for name, values in channels.items()}), course=COURSE, body=BODY
    )
    assert found.cautions[0] == "No samples from 3.99 to 4.51 s: what was driven there is not known."


def without(start_m, end_m, **how):
    channels = samples(**how)
    keep = (channels["x_m"] < start_m) | (channels["x_m"] > end_m)
    return analyse(
        log=from_samples(**{name: values[keep] for name, values in channels.items()}), course=COURSE, body=BODY
    )


# Source: the same run without its gap. The bridge once moved a cone at 70 m that the run left alone.
def test_what_lies_in_a_drop_out_is_not_known_and_the_rest_is_as_it_was():
    whole, found = analysed(), without(40, 75)
    assert found.entry_kmh == pytest.approx(whole.entry_kmh) and found.exit_kmh == pytest.approx(whole.exit_kmh)
    assert found.lowest_kmh is found.peak_lateral_g is found.peak_at_m is None
    for margin, known in zip(found.margins, whole.margins, strict=True):
        # Body alongside the cone: from 3.3 m ahead of it to 1.5 m past it.
        seen = known.cone.x_m + BODY.behind_m < 36 or known.cone.x_m - BODY.ahead_m > 79
        if seen:
            assert margin.margin_m == pytest.approx(known.margin_m, abs=0.001)
        else:
            assert margin.margin_m is None
    assert found.nearest.margin_m >= 0 and sum(one.margin_m is None for one in found.margins) == 6
    for section, known in zip(found.sections, whole.sections, strict=True):
        ends_in_it = section.number in (2, 3, 4)
        assert section.time_s == (None if ends_in_it else pytest.approx(known.time_s, abs=0.001))
        assert (section.mean_kmh is None) == ends_in_it
    hidden = np.isnan(found.trace.y_m)
    assert hidden[(found.trace.x_m > 40) & (found.trace.x_m < 75)].all()
    assert not hidden[(found.trace.x_m < 36) | (found.trace.x_m > 79)].any()


def test_a_drop_out_over_the_whole_course_leaves_nothing_known():
    found = without(-3, 128, speed_kmh=100)
    known = (found.entry_kmh, found.exit_kmh, found.kept, found.lowest_kmh, found.peak_lateral_g, found.nearest)
    assert set(known) == {None}
    assert {margin.margin_m for margin in found.margins} == {None}
    assert {value for section in found.sections for value in (section.time_s, section.mean_kmh)} == {None}


def test_a_cone_that_was_seen_to_be_driven_over_is_known_in_spite_of_a_drop_out():
    channels = samples()
    channels["y_m"] = channels["y_m"] - 0.5
    keep = (channels["x_m"] < 16) | (channels["x_m"] > 28)
    file = from_samples(**{name: values[keep] for name, values in channels.items()})
    at_15 = [m.margin_m for m in analyse(log=file, course=COURSE, body=BODY).margins if m.cone.x_m == 15]
    assert min(at_15, key=lambda margin: margin is None) < 0


# Source: the noise put in: 0.3 m/s in each sample is 1.08 km/h; a filter at 4 Hz leaves about a quarter of it.
def test_the_noise_of_one_sample_is_not_the_noise_of_the_entry_speed():
    found = [analysed(noise=6, seed=seed, braking=0) for seed in range(30)]
    entries = np.array([one.entry_kmh for one in found])
    assert entries.std() < 0.45
    stated = np.mean([one.entry_error_kmh for one in found])
    assert stated == pytest.approx(2 * entries.std(), rel=0.35)


def with_time(change):
    channels = samples()
    return from_samples(**{**channels, "time_s": change(channels["time_s"], channels["x_m"])})


def few_after_a_pause():
    """A pass of which the logger kept two samples, after a long pause: the rest of the file is before the course."""
    channels = samples()
    keep = (channels["x_m"] < -1) | (np.abs(channels["x_m"] - 130) < 0.15)
    channels = {name: values[keep] for name, values in channels.items()}
    return from_samples(**{**channels, "time_s": channels["time_s"] + 60 * (channels["x_m"] > 100)})


@pytest.mark.parametrize(
    ("file", "named"),
    [
        (few_after_a_pause, "without a sample is outside at most 5 s within a pass"),
        # A clock that jumps must not ask for memory to bridge it.
        (lambda: with_time(lambda t, x: t + 1e7 * (x > 60)), "time_s: 1e.07 s without a sample is outside at most 5 s"),
        (lambda: with_time(lambda t, x: t + 4.99 * (x > 60)), None),
        (lambda: with_time(lambda t, x: t * 60), "s is outside at most 300 s for one pass"),
    ],
)
def test_a_pause_or_a_jump_of_the_clock_is_refused(file, named):
    if named is None:
        assert analyse(log=file(), course=COURSE, body=BODY).cautions
        return
    with pytest.raises(CalculationError, match=named):
        analyse(log=file(), course=COURSE, body=BODY)


def test_a_pass_of_too_few_samples_is_refused():
    whole = log()
    few = replace(whole, **{name: getattr(whole, name)[::100] for name in samples()})
    with pytest.raises(CalculationError, match="samples is outside at least 20 samples in one pass"):
        analyse(log=few, course=COURSE, body=BODY)


def test_the_filter_is_stated():
    assert analysed().filter == "Butterworth low-pass, 2nd order forward and back, 4 Hz, sampled at 100 Hz"


def joined(*runs):
    """Several runs in one file, twenty seconds apart, each beginning before the course again."""
    parts, start = [], 0.0
    for run in runs:
        parts.append({**run, "time_s": run["time_s"] + start})
        start = parts[-1]["time_s"][-1] + 20
    return from_samples(**{name: np.concatenate([part[name] for part in parts]) for name in runs[0]})


def test_several_passes_in_one_file_are_found():
    file = joined(samples(speed_kmh=80), samples(speed_kmh=90), samples(speed_kmh=100))
    found = passes(log=file, course=COURSE)
    entries = [analyse(log=one, course=COURSE, body=BODY).entry_kmh for one in found]
    assert entries == pytest.approx([80, 90, 100], abs=0.01)


def test_a_run_that_was_broken_off_is_no_pass():
    broken = samples()
    stop = int(np.argmax(broken["x_m"] > 60))
    broken = {name: values[:stop] for name, values in broken.items()}
    found = passes(log=joined(broken, samples(speed_kmh=90), broken), course=COURSE)
    assert [analyse(log=one, course=COURSE, body=BODY).entry_kmh for one in found] == pytest.approx([90], abs=0.01)


@pytest.mark.parametrize("runs", [(), (80, 90)])
def test_analysing_takes_exactly_one_pass(runs):
    file = joined(*[samples(speed_kmh=speed) for speed in runs]) if runs else log(end_m=100)
    with pytest.raises(CalculationError, match=f"log: {len(runs)} passes is outside exactly one pass"):
        analyse(log=file, course=COURSE, body=BODY)


def test_mirrored_lateral_acceleration_has_the_same_peak():
    channels = samples()
    mirrored = from_samples(**{**channels, "lateral_mps2": -channels["lateral_mps2"]})
    found = analyse(log=mirrored, course=COURSE, body=BODY)
    assert found.peak_lateral_g == pytest.approx(analysed().peak_lateral_g)
    assert 0 < found.peak_at_m < 125


def wrong(name, row, value):
    channels = {key: values.copy() for key, values in samples().items()}
    channels[name][row] = value
    return channels


@pytest.mark.parametrize(
    ("channels", "named"),
    [
        (lambda: wrong("speed_mps", 6, float("nan")), "speed_mps, sample 7: nan is outside 0 to 80 m/s"),
        (lambda: wrong("lateral_mps2", 0, 50), "lateral_mps2, sample 1: 50"),
        (lambda: wrong("x_m", 3, float("inf")), "x_m, sample 4: inf"),
        (lambda: wrong("time_s", 5, 0.01), "time_s, sample 6: 0.01 is outside times that rise"),
        (lambda: {**samples(), "y_m": [0.0] * 30}, "y_m: 30 samples is outside .* samples, as time_s has"),
        (lambda: {name: values[:5] for name, values in samples().items()}, "time_s: 5 samples"),
    ],
)
def test_samples_that_cannot_be_are_refused(channels, named):
    with pytest.raises(CalculationError, match=named):
        from_samples(**channels())


@pytest.mark.parametrize(
    ("how", "cutoff", "named"),
    [
        ({"rate_hz": 5}, 2, "sampling rate: 5"),
        ({"rate_hz": 500}, 4, "sampling rate: 500"),
        ({"rate_hz": 10}, 5.5, "cutoff_hz: 5.5 is outside less than half the sampling rate"),
        ({}, 0, "cutoff_hz: 0"),
    ],
)
def test_rates_and_cut_offs_out_of_range_are_refused(how, cutoff, named):
    with pytest.raises(CalculationError, match=named):
        analyse(log=log(**how), course=COURSE, body=BODY, cutoff_hz=cutoff)


def test_a_log_without_speed_is_refused():
    channels = samples()
    channels["speed_mps"] = channels["speed_mps"] * 0
    with pytest.raises(CalculationError, match="speed_mps: 0 is outside above 0 at the first cones"):
        analyse(log=from_samples(**channels), course=COURSE, body=BODY)


def test_the_course_of_the_synthetic_run_is_the_real_one():
    assert lay_out(width_mm=1885) == COURSE
