"""Reading CSV, GPX and NMEA: known answers, and what is refused with its line."""

import re
from datetime import UTC, datetime

import numpy as np
import pytest

from tests.testday_logs import EPOCH, as_csv, as_gpx, as_nmea, on_globe, session
from vehicles.calculations.log_formats import LogProblem, kind_of, text_of
from vehicles.calculations.log_formats_csv import Column, headings, read_csv
from vehicles.calculations.log_formats_gpx import read_gpx
from vehicles.calculations.log_formats_nmea import checksum, read_nmea

COLUMNS = {
    "time": Column(heading="Time (s)", unit="s"),
    "x": Column(heading="X (m)", unit="m"),
    "y": Column(heading="Y (m)", unit="m"),
    "speed": Column(heading="GPS Speed (km/h)", unit="km/h"),
    "tilt": Column(heading="Tilt (deg)", unit="°"),
}
GPX = '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{}</trkseg></trk></gpx>'
POINT = '<trkpt lat="-33.9" lon="150.6"><time>2026-12-02T00:00:0{}Z</time></trkpt>'


# Source: the sentence of the checksum is a widely printed example of NMEA 0183; printed *6A.
# Its fields, printed with it: 23 March 1994, 12:35:19 UTC, 48° 07.038' N, 11° 31.000' E, 22.4 knots.
def test_the_printed_example_of_a_sentence():
    body = "GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W"
    assert f"{checksum(body):02X}" == "6A"
    later = body.replace("123519", "123520").replace("230394", "230326")
    first = body.replace("230394", "230326")
    track = read_nmea("\n".join(f"${text}*{checksum(text):02X}" for text in (first, later)))
    assert track.channels["latitude"][0] == pytest.approx(48 + 7.038 / 60, abs=1e-9)
    assert track.channels["longitude"][0] == pytest.approx(11 + 31 / 60, abs=1e-9)
    assert track.channels["speed"][0] == pytest.approx(22.4 * 0.514444, abs=1e-4)
    assert datetime.fromtimestamp(track.epoch_s, tz=UTC) == datetime(2026, 3, 23, 12, 35, 19, tzinfo=UTC)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_csv_reads_the_same_whatever_ends_a_line(end):
    rows = session([80], rate_hz=20)
    track = read_csv(text_of(as_csv(rows, end=end)), columns=COLUMNS)
    assert len(track.time_s) == len(rows)
    assert track.channels["speed"] == pytest.approx(np.full(len(rows), 80 / 3.6), abs=1e-4)


def test_mixed_line_ends_semicolons_and_decimal_commas():
    text = text_of(b"\xef\xbb\xbft;v;x;y\r\n0;36,0;0;0\n0,1;36,0;1,0;0\r0,2;36,0;2,0;0\n")
    columns = {name: Column(heading=name[0], unit=unit) for name, unit in (("time", "s"), ("x", "m"), ("y", "m"))}
    track = read_csv(text.replace("t;v", "t;v"), columns=columns | {"speed": Column(heading="v", unit="km/h")})
    assert track.time_s.tolist() == [0, 0.1, 0.2] and track.channels["x"].tolist() == [0, 1, 2]


def test_a_drop_out_leaves_its_rows_out_and_says_so():
    text = "Time (s),X (m),Y (m),GPS Speed (km/h),Tilt (deg)\n0,0,0,80,1\n0.1,,0,80,1\n0.2,2,0,80,1\n"
    track = read_csv(text, columns=COLUMNS)
    assert len(track.time_s) == 2 and track.cautions == ("1 rows with an empty cell are left out",)


@pytest.mark.parametrize(
    "changed, line, words",
    [
        (("\n0.02,", "\n0.02x,"), 4, "“0.02x"),
        (("\n0.02,", "\n0.00,"), 4, "time does not rise"),
        (("80.0000,0.0000\n", "800.0000,0.0000\n"), 2, "wrong unit"),
        (("\n0.02,", "\nnan,"), 4, "is no number"),
        (("\n0.02,", "\n5\n0.02,"), 4, "1 cells, at least 5 needed"),
        (("GPS Speed", "Speed"), 1, "no column “GPS Speed (km/h)”"),
    ],
)
def test_csv_names_the_line(changed, line, words):
    rows = session([80])
    rows[:, 4] = 0
    text = as_csv(rows).decode().replace("0.0200,", "0.02,").replace("0.0000,-", "0.0000,-")
    with pytest.raises(LogProblem, match=re.escape(words)) as refused:
        read_csv(text.replace(*changed, 1), columns=COLUMNS)
    assert refused.value.line == line


def test_milliseconds_read_as_seconds_are_noticed_by_their_speed():
    """Wrong units cannot all be seen; a speed that no vehicle has can."""
    text = "Time (s),X (m),Y (m),GPS Speed (km/h),Tilt (deg)\n0,0,0,80,0\n1,2,0,80,0\n"
    wrong = COLUMNS | {"speed": Column(heading="GPS Speed (km/h)", unit="m/s"), "time": COLUMNS["time"]}
    assert read_csv(text, columns=wrong).channels["speed"][0] == 80
    with pytest.raises(LogProblem, match="outside 0 to 80: wrong unit"):
        read_csv(text.replace(",80,", ",90,"), columns=wrong)


def test_the_three_formats_say_the_same():
    rows = session([90, 100], rate_hz=10)
    latitude, longitude = on_globe(rows)
    gpx = read_gpx(as_gpx(rows, EPOCH))
    nmea = read_nmea(text_of(as_nmea(rows, EPOCH)))
    for track, places in ((gpx, 8), (nmea, 7)):
        assert track.epoch_s == EPOCH.timestamp()
        assert track.time_s == pytest.approx(rows[:, 0], abs=0.011)
        assert track.channels["latitude"] == pytest.approx(latitude, abs=10**-places)
        assert track.channels["longitude"] == pytest.approx(longitude, abs=10**-places)
    assert nmea.channels["speed"] == pytest.approx(rows[:, 3] / 3.6, abs=1e-3)


@pytest.mark.parametrize(
    "data, line, words",
    [
        (b"<gpx", 1, "no XML"),
        (b"<kml/>", 1, "no GPX 1.1"),
        (b'<gpx version="1.0" xmlns="http://www.topografix.com/GPX/1/0"/>', 1, "no GPX 1.1"),
        (b'<!DOCTYPE gpx [\n<!ENTITY a "aaaa">\n]>\n<gpx/>', 1, "document type or entity"),
        (b'<!DOCTYPE gpx SYSTEM "file:///etc/passwd"><gpx/>', 1, "document type or entity"),
        (GPX.format('\n<trkpt lat="91" lon="0"/>').encode(), 2, "no place on the globe"),
        (GPX.format('\n<trkpt lat="x" lon="0"/>').encode(), 2, "without a latitude"),
        (GPX.format('\n<trkpt lat="1" lon="0"></trkpt>').encode(), 2, "without a time"),
        (GPX.format('<trkpt lat="1" lon="0"><time>noon</time></trkpt>').encode(), 1, "“noon”"),
        (GPX.format(POINT.format(1)).encode(), None, "fewer than two"),
    ],
)
def test_gpx_is_refused_with_its_line(data, line, words):
    with pytest.raises(LogProblem, match=words) as refused:
        read_gpx(data)
    assert refused.value.line == line


def test_noise_on_a_line_of_nmea_costs_that_line_only():
    lines = as_nmea(session([80], rate_hz=10), EPOCH).decode().split("\r\n")
    lines[3] = lines[3].replace("A", "V", 1)
    lines[5] = "$GPRMC,garbage"
    track = read_nmea("\n".join([*lines, "", lines[0].replace("GPRMC", "GPGGA")]))
    assert track.cautions == ("3 lines with a wrong checksum are left out",)


def test_nmea_that_is_mostly_broken_is_refused():
    text = as_nmea(session([80], rate_hz=10), EPOCH).decode().replace("*", "*F")
    with pytest.raises(LogProblem, match="are broken") as refused:
        read_nmea(text)
    assert refused.value.line == 1


@pytest.mark.parametrize("head", [b"", b"  \n", b"PK\x03\x04rubbish", bytes(range(256)), b"\xff\xfe\x00t\x00,"])
def test_no_text_is_no_log(head):
    with pytest.raises(LogProblem):
        kind_of(head, size=len(head))


def test_two_hundred_megabytes_are_refused_by_their_size():
    with pytest.raises(LogProblem, match="200 MB; allowed are 40 MB"):
        kind_of(b"t,v\n", size=200_000_000)


def test_a_byte_that_is_no_text_is_named_by_its_line():
    with pytest.raises(LogProblem) as refused:
        text_of(b"a,b\n1,2\n3,\xff\n")
    assert refused.value.line == 3


@pytest.mark.parametrize("first", ["", "one", "a,a", "a,,b", "x" * 20_000])
def test_headings_have_to_be_there(first):
    with pytest.raises(LogProblem, match="Line 1"):
        headings(first + "\n1,2\n")
