"""What a log does not hold is worked out from the place; where the place jumps, it is not known, and that is said."""

from types import SimpleNamespace

import pytest

from testing.testday import passes
from tests.testday_logs import session
from vehicles.calculations.log_formats import Track

# The course of a vehicle 1.885 m wide, and its body.
DAY = SimpleNamespace(
    work_up={"course": {"overall_width_m": 1.885, "offset_m": 3.5, "datum": "right_edge"}},
    inputs={"vehicle": {"overall_length_mm": 4800, "front_overhang_mm": 900, "wheelbase_mm": 2790}},
)


def told(*, jump_m=(0, 0), with_speed=False, rate_hz=20.0):
    """A pass at 80 km/h whose place is off for one sample in the middle of the course."""
    rows = session([80.0], rate_hz=rate_hz)
    middle = len(rows) // 2
    rows[middle, 1:3] += jump_m
    channels = {"speed": rows[:, 3] / 3.6} if with_speed else {}
    track = Track(time_s=rows[:, 0], epoch_s=None, channels=channels)
    (found,) = passes.passes_of(track, (rows[:, 1], rows[:, 2]), DAY)
    return found


def test_a_pass_without_a_jump_is_told_from_its_places():
    found = told()
    assert found["entry_kmh"] == pytest.approx(80, abs=0.1)
    # 10/√3 · h / L² · v² of the made path, as in test_day_sheet_logs.
    assert found["peak_lateral_g"] == pytest.approx(10 / 3**0.5 * 3.45 / 25**2 * (80 / 3.6) ** 2 / 9.80665, rel=0.06)
    assert not any("jumps" in text for text in found["cautions"])


def test_a_speed_that_no_vehicle_drives_is_not_clipped_to_one_that_looks_real():
    """20 m off for 0.05 s is 200 m/s on either side: clipped to 80 m/s and filtered it looked driven."""
    found = told(jump_m=(20, 0))
    assert [found[name] for name in ("entry_kmh", "exit_kmh", "lowest_kmh", "kept", "peak_lateral_g")] == [None] * 5
    assert set(found["trace"]["speed_kmh"]) == {None} and set(found["trace"]["lateral_g"]) == {None}
    (said,) = (text for text in found["cautions"] if "jumps" in text)
    assert "worked out from the place is 222 m/s" in said
    assert "outside 0 to 80 m/s" in said
    assert len(found["margins"]) == 18


def test_a_peak_that_no_tyre_holds_is_not_told_either():
    found = told(jump_m=(0, 1.5), with_speed=True)
    assert (found["peak_lateral_g"], found["peak_at_m"]) == (None, None)
    assert found["entry_kmh"] == pytest.approx(80, abs=0.1)
    (said,) = (text for text in found["cautions"] if "jumps" in text)
    assert "outside -40 to 40 m/s²" in said


def test_a_speed_of_the_instrument_is_left_as_it_is():
    assert told(jump_m=(20, 0), with_speed=True)["entry_kmh"] == pytest.approx(80, abs=0.1)
