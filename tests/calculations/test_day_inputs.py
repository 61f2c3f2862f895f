"""The keys of a case file that speak of the test day: read, or refused with what is allowed."""

import pytest

from tests.calculations.day_cases import LOG, RUN, SYDNEY, hours, weather
from vehicles.calculations.case_file import read_whole_text
from vehicles.calculations.day_inputs import DayInputs, read_day
from vehicles.calculations.errors import CaseError


def problems(**day):
    with pytest.raises(CaseError) as said:
        read_day(day)
    return [str(problem) for problem in said.value.problems]


def test_nothing_said_is_nothing_given():
    assert read_day({}) == DayInputs()
    assert not DayInputs().given


def test_hours_come_in_the_zone_of_the_site_with_daylight_and_site_hours():
    found = read_day({"weather": weather()}).weather
    assert f"{found.hours[7].start:%H:%M %Z}" == "07:00 AEDT"
    assert [hour.start.hour for hour in found.hours if hour.site_open] == list(range(6, 18))
    # Sunrise in Sydney on 2 March 2026 is shortly before 07:00 on the clock of the summer.
    assert not found.hours[6].daylight and found.hours[7].daylight
    assert (found.hours_needed, found.place) == (4, (-33.87, 151.21))


def test_without_a_place_or_opening_hours_neither_is_judged():
    found = read_day({"weather": weather(place=False, opens=None, hours_needed=2)}).weather
    assert all(hour.site_open and hour.daylight for hour in found.hours)
    assert (found.place, found.hours_needed) == (None, 2)


def test_runs_and_log_are_read():
    found = read_day({"runs": [RUN, {**RUN, "measured_kmh": None, "counts": False}], "log": LOG})
    assert [(run.measured_kmh, run.counts) for run in found.runs] == [(80.4, True), (None, False)]
    assert found.log.columns["speed"].unit == "km/h"
    assert found.given


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ({"weather": {"hours": []}}, "weather.time_zone: missing; the zone of the site"),
        ({"weather": weather(time_zone="Sydney/Nowhere")}, "weather.time_zone: 'Sydney/Nowhere' is no zone"),
        ({"weather": weather(time_zone=10)}, "weather.time_zone: 10 is no zone"),
        ({"weather": weather(opens="six")}, "weather.opens: 'six' is no time of the site's clock; one such as 06:00"),
        ({"weather": weather(closes="18:00Z")}, "weather.closes: '18:00Z' is no time"),
        ({"weather": weather(opens="18:00", closes="06:00")}, "weather: "),
        ({"weather": weather(hours_needed=25)}, "weather.hours_needed: 25 is outside 1 to 24 h"),
        ({"weather": weather(hours="calm")}, "weather.hours: 'calm' is not a list of at most 20,000 objects"),
        ({"weather": weather(hours=[3])}, "weather.hours[0]: 3 is not an object; one with start, wind_mps"),
        ({"weather": weather(hours=[{"start": "2026-03-02T06:00"}])}, "is no moment with its offset; one such as"),
        ({"weather": weather(hours=[{"start": "soon"}])}, "weather.hours[0].start: 'soon' is no moment"),
        ({"weather": weather(hours=[{"start": None}])}, "weather.hours[0].start: None is no moment"),
        ({"weather": weather(hours=[{"start": "2026-03-02T06:00+11:00", "wind_mps": 99}])}, "99 is outside 0 to 90"),
        ({"weather": weather(hours=hours(1) * 2)}, "each hour once"),
        ({"weather": {**SYDNEY, "wind": 3}}, "weather.wind: unknown key; allowed: time_zone"),
        ({"runs": [{}]}, "runs[0].mass: missing; one of tm1, tm2"),
        ({"runs": [{**RUN, "aimed_kmh": None}]}, "runs[0].aimed_kmh: missing; allowed: 5 to 150 km/h"),
        ({"runs": [{**RUN, "aimed_kmh": 82.5}]}, "runs[0].aimed_kmh: 82.5"),
        ({"runs": [{**RUN, "outcome": "fine"}]}, "runs[0].outcome: 'fine' is not known; one of clean, cones, aborted"),
        ({"runs": [{**RUN, "counts": "yes"}]}, "runs[0].counts: 'yes' is neither true nor false"),
        ({"log": {"file": 3}}, "log.file: 3 is no name of a file"),
        ({"log": {"file": "a.csv"}}, "log.columns.x.heading: None is no heading"),
        ({"log": {**LOG, "columns": {"x": {"heading": "x", "unit": "ft"}}}}, "log.columns.x.unit: 'ft' is not known"),
    ],
)
def test_what_cannot_be_used_is_named_with_what_is_allowed(day, said):
    assert any(said in text for text in problems(**day)), problems(**day)


def test_problems_of_vehicle_and_day_come_together():
    with pytest.raises(CaseError) as said:
        read_whole_text('{"jurisdiction": "NSW", "vehicle": {"seats": 99}, "runs": 3}')
    assert [problem.path for problem in said.value.problems] == ["vehicle.seats", "runs"]
    with pytest.raises(CaseError, match="runs: 3 is not a list"):
        read_whole_text('{"jurisdiction": "NSW", "vehicle": {"seats": 5}, "runs": 3}')
