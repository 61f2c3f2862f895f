"""Clocks and daylight saving.

Source of the dates: NSW Standard Time Act 1987 as carried by the IANA time zone database:
daylight saving ends on the first Sunday of April at 3:00 and begins on the first Sunday of October
at 2:00; none in Queensland. Eucla keeps 8 h 45 min ahead of UTC.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from testing.scheduling.local_times import TimeRefused, read_time, to_utc

SYDNEY, BRISBANE = ZoneInfo("Australia/Sydney"), ZoneInfo("Australia/Brisbane")
ADELAIDE, EUCLA = ZoneInfo("Australia/Adelaide"), ZoneInfo("Australia/Eucla")


@pytest.mark.parametrize(
    ("zone", "clock", "utc"),
    [
        (SYDNEY, (2026, 12, 3, 6), (2026, 12, 2, 19)),
        (SYDNEY, (2026, 7, 3, 6), (2026, 7, 2, 20)),
        (BRISBANE, (2026, 12, 3, 6), (2026, 12, 2, 20)),
        (ADELAIDE, (2026, 12, 3, 6), (2026, 12, 2, 19, 30)),
        (EUCLA, (2026, 12, 3, 6), (2026, 12, 2, 21, 15)),
        (SYDNEY, (2026, 4, 5, 1, 59), (2026, 4, 4, 14, 59)),
        (SYDNEY, (2026, 4, 5, 3), (2026, 4, 4, 17)),
        (SYDNEY, (2026, 10, 4, 3), (2026, 10, 3, 16)),
    ],
)
def test_the_moment_at_which_the_clock_shows_it(zone, clock, utc):
    assert to_utc(datetime(*clock), zone) == datetime(*utc, tzinfo=UTC)


def test_an_hour_that_happens_twice_is_refused_with_both_offsets():
    with pytest.raises(TimeRefused, match=r"02:30 on 5 Apr 2026 happens twice.*\+11:00 or \+10:00"):
        to_utc(datetime(2026, 4, 5, 2, 30), SYDNEY)


def test_an_hour_that_does_not_exist_is_refused():
    with pytest.raises(TimeRefused, match=r"02:30 on 4 Oct 2026 does not exist in Australia/Sydney"):
        to_utc(datetime(2026, 10, 4, 2, 30), SYDNEY)


def test_queensland_knows_neither():
    assert to_utc(datetime(2026, 4, 5, 2, 30), BRISBANE) == datetime(2026, 4, 4, 16, 30, tzinfo=UTC)
    assert to_utc(datetime(2026, 10, 4, 2, 30), BRISBANE) == datetime(2026, 10, 3, 16, 30, tzinfo=UTC)


def test_an_offset_tells_the_two_hours_apart():
    early, late = read_time("2026-04-05T02:00+11:00", SYDNEY), read_time("2026-04-05 02:00+1000", SYDNEY)
    assert early == datetime(2026, 4, 4, 15, tzinfo=UTC)
    assert late == datetime(2026, 4, 4, 16, tzinfo=UTC)


def test_without_an_offset_it_is_the_sites_own_time():
    assert read_time(" 2026-12-03T06:00 ", SYDNEY) == datetime(2026, 12, 2, 19, tzinfo=UTC)
    assert read_time("2026-12-03T06:00Z", SYDNEY) == datetime(2026, 12, 3, 6, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    ["", "tomorrow", "2026-12-03", "2026-13-03T06:00", "2026-12-03T25:00", "20261203T06", "2026-W49-4T06:00",
     "0001-01-01T00:00+11:00", "9999-12-31T23:00", "2026-12-03T06:00+99:00", "٢٠٢٦-12-03T06:00"],
)  # fmt: skip
def test_anything_else_is_refused(text):
    with pytest.raises(TimeRefused):
        read_time(text, SYDNEY)
