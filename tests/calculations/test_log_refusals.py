"""What a log may not be, in each format: refused in words, with the line that is to blame."""

import re
from datetime import UTC, datetime

import pytest

from vehicles.calculations import log_formats_csv, log_formats_gpx, log_formats_nmea
from vehicles.calculations.log_formats import LogProblem, kind_of, text_of
from vehicles.calculations.log_formats_csv import Column, read_csv
from vehicles.calculations.log_formats_gpx import read_gpx
from vehicles.calculations.log_formats_nmea import checksum, read_nmea

TOLD = {name: Column(heading=name, unit="m") for name in ("x", "y")} | {"speed": Column(heading="v", unit="m/s")}
SECONDS = TOLD | {"time": Column(heading="t", unit="s")}
MOMENTS = TOLD | {"time": Column(heading="t", unit="date and time")}


def refusal_of(read, *data, **told):
    with pytest.raises(LogProblem) as refused:
        read(*data, **told)
    return refused.value.line, str(refused.value)


def test_each_format_is_known_by_its_first_sign():
    heads = (b"\xef\xbb\xbf\n<?xml", b"!AIVDM,1", b"t,v\n0,1")
    assert [kind_of(head, size=9) for head in heads] == ["gpx", "nmea", "csv"]


def test_a_zero_byte_further_down_is_named_by_its_line():
    assert refusal_of(text_of, b"t,v\n0,1\n\x00,2\n") == (3, "Line 3: a zero byte")


def test_rows_without_anything_are_passed_over():
    track = read_csv("t,v,x,y\n0,10,0,0\n\n0.1,10,1,0\n", columns=SECONDS)
    assert track.time_s.tolist() == [0, 0.1] and track.cautions == ()


@pytest.mark.parametrize(
    "text, columns, line, words",
    [
        ("t,v,x,y\n0,1,0,0\n1,1,1,0\n", TOLD, None, "Name the columns of time, speed, and either x and y"),
        ("t,v,x,y\n0,1,0,0\n1,1,1,0\n", SECONDS | {"speed": Column(heading="v", unit="m")}, None, "no unit of speed"),
        ("t,v,x,y\n0,1,0,0\n", SECONDS, None, "fewer than two rows"),
        ("t,v,x,y\n0,1,0,0\n1,1,x,0\n", SECONDS, 3, "x “x” is no number"),
        ("t,v,x,y\n0,1,0,0\n1,1,inf,0\n", SECONDS, 3, "x “inf” is no number"),
        ("t,v,x,y\n0,1,0,0\n1e300,1,1,0\n", SECONDS, 3, "time “1e300” s is no time of a log: wrong unit?"),
        (
            "t,v,x,y\n0001-01-01T00:00+14:00,1,0,0\n2026-12-02T08:10:00Z,1,0,0\n",
            MOMENTS,
            2,
            "outside the years 1970 to 2099",
        ),
        (f"t,v,x,y\n0,1,0,0\n1,1,1,{'9' * 140_000}\n", SECONDS, 3, "no CSV: field larger than field limit"),
        ("t,v,x,y\nnoon,1,0,0\n1,1,1,0\n", MOMENTS, 2, "time “noon” is not like 2026-12-02T08:10:00.25+11:00"),
        ("t,v,x,y\n2026-12-02T08:10:00,1,0,0\n,1,1,0\n", MOMENTS, None, "fewer than two rows"),
        (
            "t,v,x,y\n2026-12-02T08:10:00Z,1,0,0\n2026-12-02T08:10:01,1,1,0\n",
            MOMENTS,
            3,
            "does not say its zone, such as Z or +11:00",
        ),
    ],
)
def test_a_csv_is_refused_in_words(text, columns, line, words):
    found, said = refusal_of(read_csv, text, columns=columns)
    assert found == line and words in said


def test_moments_with_their_zone_are_seconds_since_the_first():
    text = "t,v,x,y\n2026-12-02T08:10:00.5+11:00,1,0,0\n2026-12-01T21:10:01.75Z,1,1,0\n"
    track = read_csv(text, columns=MOMENTS)
    assert track.epoch_s == datetime(2026, 12, 1, 21, 10, 0, 500_000, tzinfo=UTC).timestamp()
    assert track.time_s.tolist() == [0, 1.25]


@pytest.mark.parametrize(
    "read, module, rows",
    [
        (lambda rows: read_csv("t,v,x,y\n" + rows, columns=SECONDS), log_formats_csv, "{n},1,0,0\n"),
        (
            lambda rows: read_gpx(gpx(rows)),
            log_formats_gpx,
            '<trkpt lat="1" lon="1"><time>2026-12-02T00:00:0{n}Z</time></trkpt>\n',
        ),
        (lambda rows: read_nmea(rows), log_formats_nmea, "{rmc}\n"),
    ],
)
def test_more_rows_than_allowed_are_refused(read, module, rows, monkeypatch):
    monkeypatch.setattr(module, "MOST_ROWS", 3)
    written = [rows.format(n=n, rmc=rmc(clock=f"00000{n}")) for n in range(4)]
    assert len(read("".join(written[:3])).time_s) == 3
    line, said = refusal_of(read, "".join(written))
    assert line in (4, 5) and "more than 3 " in said


def gpx(inside):
    return f'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">{inside}</gpx>'.encode()


def point(second, speed=None):
    extension = f"<extensions><speed>{speed}</speed></extensions>" if speed is not None else ""
    return f'<trkpt lat="1" lon="1"><time>2026-12-02T00:00:0{second}Z</time>{extension}</trkpt>'


def test_speeds_of_a_gpx_count_when_every_point_carries_one():
    assert read_gpx(gpx(point(1, 12.5) + point(2, 13))).channels["speed"].tolist() == [12.5, 13]
    assert "speed" not in read_gpx(gpx(point(1, 12.5) + point(2))).channels


@pytest.mark.parametrize(
    "inside, words",
    [
        (point(1, "fast") + point(2, 3), "speed “fast” is no number"),
        (point(1, 81) + point(2, 3), "a speed outside 0 to 80 m/s"),
        (point(1, "nan") + point(2, 3), "a speed outside 0 to 80 m/s"),
        (point(1).replace("Z", "") + point(2), "does not say its zone"),
    ],
)
def test_a_gpx_is_refused_in_words(inside, words):
    assert words in refusal_of(read_gpx, gpx(inside))[1]


def rmc(*, clock="000001", state="A", place="3354.000,S,15036.000,E", speed="50.0", date="021226", end=",,"):
    body = f"GPRMC,{clock},{state},{place},{speed},0.0,{date}{end}"
    return f"${body}*{checksum(body):02X}"


@pytest.mark.parametrize(
    "sentence, words",
    [
        (rmc(clock="1 o'clock"), "time “1 o'clock” of date “021226” is not hhmmss.ss and ddmmyy"),
        (rmc(date="991326"), "is not hhmmss.ss and ddmmyy"),
        (rmc(clock="1235nan"), "time “1235nan” of date"),
        (rmc(clock="123519e300"), "time “123519e300” of date"),
        (rmc(clock="993519"), "time “993519” of date"),
        (rmc(clock="126119"), "time “126119” of date"),
        (rmc(clock="123561"), "time “123561” of date"),
        (rmc(place="3361.000,S,15036.000,E"), "place or speed cannot be read"),
        (rmc(place="3354.000,S,150nan,E"), "place or speed cannot be read"),
        (rmc(place="3354.000,S,15036.000,up"), "place or speed cannot be read"),
        (rmc(place="x,S,15036.000,E"), "place or speed cannot be read"),
        (rmc(place="9954.000,S,15036.000,E"), "a place off the globe"),
        (rmc(speed="200"), "a speed above 80 m/s"),
        (rmc(speed="-1"), "a speed above 80 m/s"),
        ("$GPRMC,000001,A*" + f"{checksum('GPRMC,000001,A'):02X}", "fewer than ten fields"),
    ],
)
def test_a_sentence_that_is_whole_but_wrong_is_named_by_its_line(sentence, words):
    line, said = refusal_of(read_nmea, rmc() + "\n" + sentence)
    assert line == 2 and words in said


def test_sentences_without_a_fix_are_left_out_and_counted():
    others = f"$GPGSV,1*{checksum('GPGSV,1'):02X}"
    told = [rmc(), rmc(clock="000002", state="V"), rmc(clock="000003"), "", others]
    track = read_nmea("\n".join(told))
    assert track.time_s.tolist() == [0, 2]
    assert track.cautions == ("1 sentences without a fix are left out",)


def test_a_checksum_that_is_no_number_is_a_broken_line():
    sound = [rmc(clock=f"0000{n:02d}") for n in range(10, 22)]
    track = read_nmea("\n".join([*sound, re.sub(r"\*..$", "*G7", rmc(clock="000030"))]))
    assert len(track.time_s) == 12 and track.cautions == ("1 lines with a wrong checksum are left out",)


def test_without_any_fix_there_is_no_log():
    assert "fewer than two RMC sentences" in refusal_of(read_nmea, rmc() + "\n" + rmc(state="V"))[1]


def test_a_leap_second_is_a_moment():
    assert read_nmea(rmc(clock="235959") + "\n" + rmc(clock="235960.5")).time_s.tolist() == [0, 1.5]
