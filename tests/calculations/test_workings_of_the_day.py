"""Workings of weather, ladder and log: what they say when something is not known."""

from datetime import UTC, date, datetime, timedelta

import pytest

from vehicles.calculations.hours import Limits
from vehicles.calculations.run_record import RunRecord
from vehicles.calculations.run_working import ladder_working, pass_workings
from vehicles.calculations.speeds import progress
from vehicles.calculations.weather import Window
from vehicles.calculations.weather_working import chance_working, light_working, window_working

START = datetime(2026, 3, 2, 7, tzinfo=UTC)
WINDOW = Window(start=START, end=START + timedelta(hours=3), hours=3, wind_mps=2.9)
SUN = START.replace(hour=6, minute=30), START.replace(hour=19)


def test_a_window_says_its_limits_and_whether_daylight_was_judged():
    open_ = window_working(window=WINDOW, limits=Limits(gust_mps=4.5), light=SUN)
    assert (open_.value, open_.unit) == (3, "h")
    assert open_.inputs["gust limit"] == "4.5 m/s" and open_.inputs["daylight"] == "06:30 to 19:00"
    closed = window_working(window=WINDOW, limits=Limits())
    assert closed.inputs["gust limit"] == "none" and closed.inputs["daylight"].startswith("not judged")


def test_the_light_is_what_lies_between():
    assert light_working(day=date(2026, 3, 2), light=SUN, latitude_deg=-33.87, longitude_deg=151.21).value == 12.5


# Source: geometric distribution: 1 − 0.6^4 = 0.870, 1 − 0.6^5 = 0.922.
@pytest.mark.parametrize(
    ("judged", "workable", "value", "sure"),
    [(30, 12, 0.4, "5"), (30, 0, 0.0, "none would do"), (0, 0, None, "none would do")],
)
def test_a_chance_is_what_was_counted(judged, workable, value, sure):
    told = chance_working(when="March", hours_needed=4, judged=judged, workable=workable, limits=Limits())
    assert told.value == value
    assert told.inputs["bookings to be 90 % sure"] == sure


def test_the_ladder_lists_the_runs_of_its_own_mass_by_the_sheets_numbers():
    runs = [
        RunRecord(mass="tm1", aimed_kmh=80, measured_kmh=80.4, outcome="clean"),
        RunRecord(mass="tm2", aimed_kmh=80, measured_kmh=None, outcome="cones"),
        RunRecord(mass="tm1", aimed_kmh=90, measured_kmh=None, outcome="aborted", counts=False),
    ]
    step = progress(ladder=(80, 90), runs=runs, mass="tm1")
    told = ladder_working(step=step, ladder=(80, 90), runs=runs, numbers=[1, 2, 5])
    assert told.value == 90
    assert told.inputs["run 5"] == "90 km/h aimed at, not measured, aborted, does not count"
    assert "run 2" not in told.inputs
    none = progress(ladder=(80, 90), runs=[], mass="tm2")
    assert ladder_working(step=none, ladder=(80, 90), runs=[]).inputs["runs"] == "none yet"


def test_what_a_drop_out_hides_is_not_known():
    found = list(
        pass_workings(
            entry_kmh=None,
            entry_error_kmh=None,
            exit_kmh=76,
            peak_lateral_g=None,
            peak_at_m=None,
            nearest_cone=None,
            nearest_m=None,
            rate_hz=100,
            filtered="low-pass",
        )
    )
    assert [one.value for one in found] == [None] * 4
    assert found[1].inputs == {"at the last cones": "76.0 km/h", "at the first": "not known"}
    assert found[3].inputs == {"cone": "not known"}
