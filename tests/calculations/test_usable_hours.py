from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from vehicles.calculations.errors import CalculationError
from vehicles.calculations.usable_hours import is_open, with_daylight, with_site_hours
from vehicles.calculations.weather import Hour

SYDNEY = ZoneInfo("Australia/Sydney")


def day(start, count=24):
    return [Hour(start=(start + timedelta(hours=n)).astimezone(SYDNEY), wind_mps=1, rain_mm=0) for n in range(count)]


def lit(hours):
    return [
        hour.start.hour
        for hour in with_daylight(hours=hours, latitude_deg=-33.87, longitude_deg=151.21)
        if hour.daylight
    ]


# Source: sunrise and sunset in Sydney, 22 June 7:00 and 16:54, 22 December 5:41 and 20:06 (from memory).
@pytest.mark.parametrize(("month", "hours"), [(6, range(8, 16)), (12, range(6, 20))])
def test_an_hour_is_lit_when_the_sun_is_up_for_all_of_it(month, hours):
    midnight = datetime(2025, month, 22, tzinfo=SYDNEY).astimezone(UTC)
    assert lit(day(midnight)) == list(hours)


def test_site_hours_follow_the_clock():
    midnight = datetime(2025, 6, 22, tzinfo=SYDNEY).astimezone(UTC)
    found = with_site_hours(hours=day(midnight), opens=time(7), closes=time(12, 30))
    assert [hour.start.hour for hour in found if hour.site_open] == [7, 8, 9, 10, 11]


def test_site_hours_on_the_day_the_clocks_go_back():
    midnight = datetime(2025, 4, 6, tzinfo=SYDNEY).astimezone(UTC)
    found = with_site_hours(hours=day(midnight, 25), opens=time(1), closes=time(4))
    assert [hour.start.hour for hour in found if hour.site_open] == [1, 2, 2, 3]


@pytest.mark.parametrize(("closes", "last"), [(time(23, 59), 23), (time(23, 30), 22)])
def test_a_site_may_stay_open_till_midnight(closes, last):
    midnight = datetime(2025, 6, 22, tzinfo=SYDNEY).astimezone(UTC)
    found = with_site_hours(hours=day(midnight), opens=time(20), closes=closes)
    assert [hour.start.hour for hour in found if hour.site_open][-1] == last


@pytest.mark.parametrize(
    ("end", "open_"),
    [((22, 23, 59), True), ((23, 0, 0), True), ((23, 0, 30), False), ((24, 0, 0), False)],
)
def test_a_booking_may_last_till_midnight_where_the_site_does(end, open_):
    start = datetime(2025, 6, 22, 20, tzinfo=SYDNEY)
    told = is_open(start=start, end=datetime(2025, 6, *end, tzinfo=SYDNEY), opens=time(7), closes=time(23, 59))
    assert told is open_


def test_a_site_that_closes_before_it_opens_is_refused():
    with pytest.raises(CalculationError, match="closes: 06:00 is outside after 07:00"):
        is_open(start=datetime(2025, 6, 22), end=datetime(2025, 6, 22), opens=time(7), closes=time(6))
    with pytest.raises(CalculationError, match="closes: 06:00 is outside after 07:00"):
        with_site_hours(hours=[], opens=time(7), closes=time(6))


def test_a_polar_night_is_refused():
    with pytest.raises(CalculationError, match="latitude_deg: 80"):
        with_daylight(hours=day(datetime(2025, 12, 21, tzinfo=UTC), 1), latitude_deg=80, longitude_deg=0)
