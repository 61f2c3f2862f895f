"""Reading typed hours and CSV files: all of it, or nothing and every reason."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from testing.scheduling.records import MOST_ROWS, Unreadable, read_csv, read_lines

SYDNEY, ADELAIDE = ZoneInfo("Australia/Sydney"), ZoneInfo("Australia/Adelaide")
DAY = date(2026, 12, 3)


def typed(text, *, zone=SYDNEY, day=DAY, unit="m/s"):
    return read_lines(text, day=day, zone=zone, unit=unit)


def csv_file(text, *, zone=SYDNEY, unit="m/s"):
    return read_csv(text.encode(), zone=zone, unit=unit)


def problems(call, *args, **kwargs):
    with pytest.raises(Unreadable) as refused:
        call(*args, **kwargs)
    return refused.value.problems


def test_typed_hours():
    first, second = typed("06:00 2.1 3.0 0\n\n 7:00\t2.4 - 0.2 \n")
    assert (first.starts_at, first.wind_mps, first.gust_mps, first.rain_mm) == (
        datetime(2026, 12, 2, 19, tzinfo=UTC),
        2.1,
        3.0,
        0.0,
    )
    assert (second.wind_mps, second.gust_mps, second.rain_mm) == (2.4, None, 0.2)


def test_units_are_converted_without_dust():
    """Source: 3 m/s = 10.8 km/h exactly; the international nautical mile is 1,852 m, so 5.83 kn = 2.999 m/s."""
    assert typed("06:00 10.8 10.8 0", unit="km/h")[0].wind_mps == 3.0
    assert typed("06:00 5.83 5.83 0", unit="kn")[0].wind_mps == pytest.approx(2.999, abs=0.0005)


def test_a_file_in_any_order_of_columns():
    rows = csv_file("Wind, TIME ,rain\n2.0,2026-12-03T06:00,0\n3.1,2026-12-02T20:00Z,\n")
    assert [row.starts_at.hour for row in rows] == [19, 20]
    assert [(row.wind_mps, row.gust_mps, row.rain_mm) for row in rows] == [(2.0, None, 0.0), (3.1, None, None)]


def test_a_byte_order_mark_and_windows_line_ends_are_no_obstacle():
    data = "﻿time,wind\r\n2026-12-03T06:00,2\r\n".encode()
    assert len(read_csv(data, zone=SYDNEY, unit="m/s")) == 1


def test_every_wrong_line_is_named():
    text = "time,wind,gust,rain\n2026-12-03T06:00,NaN,3,0\n2026-12-03T07:00,-1,3,0\n2026-12-03T08:00,61,3,0\n"
    found = problems(csv_file, text)
    assert [line.split(":")[0] for line in found] == ["Line 2", "Line 3", "Line 4"]
    assert "Wind" in found[0]
    assert "NaN" in found[0]
    assert "0 to 60 m/s" in found[2]


@pytest.mark.parametrize("value", ["inf", "1e5", "2,4", "two", "0x10", "٣", "2.1.1", "1" * 400])
def test_what_is_not_a_plain_number_is_refused(value):
    assert problems(typed, f"06:00 {value} 3 0")[0].startswith("Line 1: Wind")


def test_a_wind_that_is_too_strong_only_in_its_unit():
    assert csv_file("time,wind\n2026-12-03T06:00,200\n", unit="km/h")[0].wind_mps == pytest.approx(55.556, abs=0.001)
    assert "0 to 60 m/s" in problems(csv_file, "time,wind\n2026-12-03T06:00,220\n", unit="km/h")[0]


def test_an_hour_that_happens_twice_or_never_is_refused_with_its_line():
    twice = problems(csv_file, "time,wind\n2026-04-05T01:00,2\n2026-04-05T02:00,2\n")
    never = problems(csv_file, "time,wind\n2026-10-04T02:00,2\n")
    assert twice[0].startswith("Line 3: 02:00 on 5 Apr 2026 happens twice")
    assert never[0].startswith("Line 2: 02:00 on 4 Oct 2026 does not exist")


def test_typed_hours_take_an_offset_where_the_clock_shows_an_hour_twice():
    rows = typed("02:00+11:00 2 3 0\n02:00+10:00 2 3 0", day=date(2026, 4, 5))
    assert [row.starts_at.hour for row in rows] == [15, 16]


def test_the_same_hour_twice_is_refused_even_when_written_differently():
    found = problems(csv_file, "time,wind\n2026-12-03T06:00,2\n2026-12-02T19:00Z,2\n")
    assert found == ["Line 3: 2026-12-03 06:00 stands in line 2 already."]


def test_hours_are_full_hours_of_the_sites_clock():
    assert "not a full hour" in problems(typed, "06:30 2 3 0")[0]
    assert "not a full hour" in problems(csv_file, "time,wind\n2026-12-03T06:00Z,2\n", zone=ADELAIDE)[0]
    assert csv_file("time,wind\n2026-12-03T06:30Z,2\n", zone=ADELAIDE)[0].starts_at.minute == 30


@pytest.mark.parametrize(
    "header",
    ["time", "wind,gust", "time,wind,wind", "time,wind,rain_mm", "2026-12-03T06:00,2,3,0", "time;wind;gust;rain"],
)
def test_the_header_has_to_name_the_columns(header):
    assert "time, wind, gust, rain" in problems(csv_file, f"{header}\n2026-12-03T06:00,2,3,0\n")[0]


def test_a_short_or_long_row_is_refused():
    assert "Line 2: 1 values; the header names 2 columns." in problems(csv_file, "time,wind\n2026-12-03T06:00\n")


@pytest.mark.parametrize("text", ["", "time,wind\n", "time,wind\n\n\n"])
def test_nothing_in_it_is_said(text):
    assert problems(csv_file, text)


def test_typed_rows_need_all_four():
    assert "Line 2: “07:00 2.4” is not time, wind, gust and rain" in problems(typed, "06:00 2 3 0\n07:00 2.4")[0]
    assert problems(typed, "  \n ") == ["There is no hour in it."]


def test_bytes_that_are_not_text():
    assert "UTF-8" in problems(read_csv, b"time,wind\n\xff\xfe", zone=SYDNEY, unit="m/s")[0]
    assert problems(read_csv, b'time,wind\n"2026', zone=SYDNEY, unit="m/s")
    assert problems(read_csv, b"time,wind\n2026-12-03T06:00,\x00\n", zone=SYDNEY, unit="m/s")


def test_too_much_is_refused():
    rows = "".join(f"{2000 + n // 8000}-01-01T00:00Z,2\n" for n in range(MOST_ROWS + 1))
    assert "20,000" in problems(csv_file, "time,wind\n" + rows)[0]
    assert "2,000,000" in problems(read_csv, b"x" * 2_000_001, zone=SYDNEY, unit="m/s")[0]


def test_the_list_of_problems_stays_short():
    found = problems(typed, "\n".join("x" for _ in range(50)))
    assert len(found) == 21
    assert found[-1] == "And 30 more lines."
