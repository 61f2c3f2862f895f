from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.daylight import daylight
from vehicles.calculations.errors import CalculationError

SECONDS = timedelta(seconds=5)


# Source: web calculator of the solar position algorithm of NREL, printed to the second, as quoted in
# the tests of the library pvlib: 35° S 0° E, and Golden, Colorado (UTC − 7 h). The calculator counts days
# in UTC, so the sunset that it prints for 2 August in Golden is that of the local 1 August.
@pytest.mark.parametrize(
    ("latitude", "longitude", "day", "sunrise", "sunset"),
    [
        (-35.0, 0.0, date(1996, 7, 5), "1996-07-05T07:08:15Z", "1996-07-05T17:01:04Z"),
        (-35.0, 0.0, date(2004, 12, 4), "2004-12-04T04:38:57Z", "2004-12-04T19:02:03Z"),
        (39.742476, -105.1786, date(2015, 1, 2), "2015-01-02T07:21:55-07:00", "2015-01-02T16:47:43-07:00"),
    ],
)
def test_sunrise_and_sunset_as_printed(latitude, longitude, day, sunrise, sunset):
    found = daylight(latitude_deg=latitude, longitude_deg=longitude, day=day)
    assert abs(found.sunrise - datetime.fromisoformat(sunrise)) < SECONDS
    assert abs(found.sunset - datetime.fromisoformat(sunset)) < SECONDS


# Source: the same; and the US Naval Observatory, printed to the minute: 19:13 on 2 August.
def test_summer_in_golden_as_printed():
    place = {"latitude_deg": 39.742476, "longitude_deg": -105.1786}
    first, second = (daylight(**place, day=date(2015, 8, day)) for day in (1, 2))
    assert abs(second.sunrise - datetime.fromisoformat("2015-08-02T05:00:27-07:00")) < SECONDS
    assert abs(first.sunset - datetime.fromisoformat("2015-08-01T19:13:58-07:00")) < SECONDS
    half_a_minute = timedelta(seconds=30)
    assert abs(second.sunset - datetime.fromisoformat("2015-08-02T19:13:00-07:00")) < half_a_minute


def test_a_day_in_australia_is_the_local_calendar_day():
    found = daylight(latitude_deg=-33.87, longitude_deg=151.21, day=date(2026, 1, 15))
    local = found.sunrise.astimezone(ZoneInfo("Australia/Sydney"))
    assert local.date() == date(2026, 1, 15)
    assert 5 <= local.hour <= 6
    assert found.sunrise.date() == date(2026, 1, 14)


@given(
    latitude=st.floats(min_value=-60, max_value=60),
    longitude=st.floats(min_value=-180, max_value=180),
    day=st.dates(min_value=date(1990, 1, 1), max_value=date(2049, 1, 1)),
)
def test_a_day_and_its_opposite_half_a_year_on_share_the_light(latitude, longitude, day):
    here = daylight(latitude_deg=latitude, longitude_deg=longitude, day=day)
    there = daylight(latitude_deg=-latitude, longitude_deg=longitude, day=day)
    light = (here.sunset - here.sunrise) + (there.sunset - there.sunrise)
    # Refraction and the sun's radius add a few minutes to 24 h at both places.
    assert timedelta(hours=24) < light < timedelta(hours=24, minutes=50)
    assert here.sunrise < here.sunset


def test_covers_only_what_lies_between():
    found = daylight(latitude_deg=0, longitude_deg=0, day=date(2026, 3, 20))
    seven, nineteen = (datetime(2026, 3, 20, hour, tzinfo=UTC) for hour in (7, 19))
    assert found.covers(seven, seven + timedelta(hours=1))
    assert not found.covers(seven, nineteen)
    assert not found.covers(seven - timedelta(hours=3), seven)


@pytest.mark.parametrize("latitude", [70, -70])
@pytest.mark.parametrize("day", [date(2026, 6, 21), date(2026, 12, 21)])
def test_polar_day_and_night_are_refused_clearly(latitude, day):
    with pytest.raises(CalculationError, match=f"latitude_deg: {latitude} .*rises and sets on {day}"):
        daylight(latitude_deg=latitude, longitude_deg=20, day=day)


@pytest.mark.parametrize(("latitude", "longitude", "named"), [(91, 0, "latitude"), (0, 181, "longitude")])
def test_a_place_off_the_globe_is_refused(latitude, longitude, named):
    with pytest.raises(CalculationError, match=named):
        daylight(latitude_deg=latitude, longitude_deg=longitude, day=date(2026, 1, 1))
