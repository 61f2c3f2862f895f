"""Weather, ladder and log of a case file, and how each came about."""

import json

import pytest

from tests.calculations.day_cases import LOG, RUN, log_text, weather, whole
from tests.calculations.measured_cases import measured
from vehicles.calculations.case_file import read_whole_text
from vehicles.calculations.day import day_for
from vehicles.calculations.log_formats import LogProblem
from vehicles.calculations.sheet_day import sheet_day
from vehicles.calculations.workup import work_up
from vehicles.reference import price_book, rule_set


def told(text=None, *, raw=None, **day):
    case, inputs = read_whole_text(json.dumps({**(raw or whole()), **day}))
    done = work_up(case, rules=rule_set(case.jurisdiction), prices=price_book(), with_demand=False)
    return day_for(inputs, done=done, log_text=text)


def quantities(day):
    return [one.quantity for one in day.working]


def test_windows_keep_daylight_site_hours_wind_and_drying():
    # Windy at 10:00; 07:00 is the first hour with the sun up for all of it, 18:00 the close of the site.
    day = told(weather=weather(windy=(10,), hours_needed=3))
    assert [(one.start.hour, one.end.hour) for one in day.windows] == [(11, 18), (7, 10)]
    assert quantities(day) == [
        "Daylight on 02/03/2026",
        "Window 02/03/2026 11:00 to 18:00",
        "Window 02/03/2026 07:00 to 10:00",
    ]
    assert day.working[1].inputs["daylight"].startswith("06:")
    assert day.chances == ()
    text = sheet_day(day)
    assert "02/03/2026 11:00 to 18:00" in text and "7 h, at most 1.5 m/s" in text
    assert "Source: wind and surface: common practice" in text


def test_without_a_place_daylight_is_not_judged_and_that_is_said():
    day = told(weather=weather(place=False))
    assert day.working[0].inputs["daylight"] == "not judged: the place is not known"


def test_a_record_of_a_month_gives_chances_and_a_forecast_none():
    # From 2 March on 31 days, 30 of them in March; the first ten have wind all day.
    windy = {n for n in range(31 * 24) if n // 24 < 10}
    day = told(weather=weather(31 * 24, windy=windy))
    (chance,) = (one for one in day.chances if one.month == 3)
    assert (chance.workable, chance.judged) == (20, 30)
    assert [one.value for one in day.working if one.quantity.startswith("Chance")] == [pytest.approx(2 / 3), 1.0]
    text = sheet_day(day)
    assert "20 of 30" in text and "March, from" in text
    assert "  and 9 more" in text
    assert not told(weather=weather(hours=[])).windows


def test_the_runs_open_what_the_ladder_opens():
    day = told(runs=[RUN])
    assert [(step.mass, step.next_kmh) for step in day.ladder] == [("tm1", 90), ("tm2", 80)]
    assert quantities(day) == ["Next speed at Test Mass 1", "Next speed at Test Mass 2"]
    assert "RUNS SO FAR" in sheet_day(day)


def test_a_pass_of_the_log_is_analysed():
    day = told(log_text(), log=LOG)
    (one,) = day.passes
    assert one.entry_kmh == pytest.approx(80, abs=0.01)
    assert quantities(day) == ["Entry speed", "Speed kept", "Peak lateral acceleration", "Nearest margin"]
    assert "Pass 1: entry speed" in sheet_day(day)
    plain = day.as_dict()
    assert plain["passes"][0]["entry_kmh"] == 80.0
    assert "trace" not in plain["passes"][0]
    json.dumps(plain, allow_nan=False)


def test_what_a_drop_out_hides_of_a_pass_is_undecided():
    lines = log_text().splitlines()
    kept = [line for n, line in enumerate(lines) if n < 90 or n > 140]
    day = told("\n".join(kept), log=LOG)
    (one,) = day.passes
    assert one.entry_kmh is None
    assert day.working[0].value is None
    assert "undecided" in sheet_day(day)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (log_text(seconds=(-2.0, 3.0)), "log: no pass from before section 1 to past section 6 in it"),
        (log_text(rate_hz=4), "log, pass 1: "),
    ],
)
def test_a_log_without_a_usable_pass_says_why(text, said):
    day = told(text, log=LOG)
    assert day.passes == ()
    assert day.undecided[0].startswith(said)
    assert "UNDECIDED ABOUT THE DAY" in sheet_day(day)


def test_a_log_with_other_columns_is_refused():
    with pytest.raises(LogProblem):
        told("time,place\n0,1\n1,2\n", log=LOG)


def test_what_the_vehicle_lacks_is_undecided():
    bare = measured(overall_length_mm=None, adr_category=None)
    bare["modifications"] = []
    day = told(log_text(), raw=bare, log=LOG, runs=[RUN])
    assert day.undecided == (
        "runs: the target speed is undecided, so no ladder is known that they could open",
        "log: overall width and length of the vehicle are needed for its course and its margins",
    )
    assert (day.ladder, day.passes, day.working) == ((), (), ())
