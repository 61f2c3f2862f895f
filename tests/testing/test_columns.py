"""Files with columns of their own: explained once, remembered, refused clearly."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from testing.models import WaitingFile, WeatherColumns
from tests.scheduling_factories import level_site

pytestmark = pytest.mark.django_db
FILE = "Station;Datum,Stamp,Speed (kn),Rain (in)\nA,03/12/2026 06:00,5.83,0\nA,03/12/2026 07:00,4,0.1\n"
CHOSEN = {
    "time": "1", "times": "dmy", "clock": "site", "wind": "2", "unit": "kn", "gust": "", "rain": "3",
    "rain_unit": "in",
}  # fmt: skip


@pytest.fixture
def the_site():
    return level_site()


def upload(client, site, text=FILE, **facts):
    file = SimpleUploadedFile("station.csv", text.encode())
    return client.post(
        reverse("testing:upload_forecast", args=[site.pk]), {"file": file, "unit": "m/s", "what": "forecast", **facts}
    )


def explain(client, site, **changed):
    return client.post(reverse("testing:explain_columns", args=[site.pk]), {**CHOSEN, **changed})


def test_a_new_header_is_explained_and_the_file_taken(as_, engineer, the_site):
    client = as_(engineer)
    sent = upload(client, the_site)
    assert sent["Location"] == reverse("testing:explain_columns", args=[the_site.pk])
    page = client.get(sent["Location"]).content.decode()
    assert "Speed (kn)" in page
    assert explain(client, the_site).status_code == 302
    first, second = the_site.forecast.all()
    assert first.wind_mps == pytest.approx(3.0, abs=0.001)  # FACTS 8: 3 m/s is 5.83 kn
    assert second.rain_mm == pytest.approx(2.54)  # by definition of the inch
    assert f"{first.starts_at:%Y-%m-%dT%H:%M}" == "2026-12-02T19:00"
    assert not WaitingFile.objects.exists()


def test_the_mapping_is_remembered(as_, engineer, the_site):
    client = as_(engineer)
    upload(client, the_site)
    explain(client, the_site)
    other = level_site()
    sent = upload(client, other, FILE.replace("5.83", "2"))
    assert "forecast/?day=" in sent["Location"]
    assert other.forecast.count() == 2
    assert WeatherColumns.objects.get().names[1] == "Stamp"


def test_utc_columns(as_, engineer, the_site):
    client = as_(engineer)
    upload(client, the_site)
    explain(client, the_site, clock="utc")
    assert f"{the_site.forecast.first().starts_at:%H:%M}" == "06:00"


def test_a_slip_in_the_file_keeps_it_waiting(as_, engineer, the_site):
    client = as_(engineer)
    upload(client, the_site, FILE.replace("5.83", "gale"))
    response = explain(client, the_site)
    assert "Line 2: Wind: “gale”" in response.content.decode()
    assert WaitingFile.objects.exists()
    assert not the_site.forecast.exists()
    assert not WeatherColumns.objects.exists()


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"wind": "1"}, "One column cannot be two things"),
        ({"time": "3", "rain": ""}, "cannot be read"),
        ({"times": "iso"}, "cannot be read"),
        ({"wind": ""}, "required"),
        ({"wind": "99"}, "not one of the available choices"),
        ({"unit": "furlongs"}, "not one of the available choices"),
        ({"time": "a\x00b"}, "not one of the available choices"),
    ],
)
def test_a_wrong_choice_is_said(as_, engineer, the_site, changed, why):
    client = as_(engineer)
    upload(client, the_site)
    response = explain(client, the_site, **changed)
    assert response.status_code == 200
    assert why in response.content.decode()


def test_without_a_waiting_file(as_, engineer, the_site):
    page = as_(engineer).get(reverse("testing:explain_columns", args=[the_site.pk]), follow=True)
    assert "No file waits" in page.content.decode()


@pytest.mark.parametrize("text", ["speed\n5\n", "a,a\n1,2\n", f"{'x' * 90},b\n1,2\n", "a\x07,b\n1,2\n"])
def test_a_header_that_nobody_could_explain(as_, engineer, the_site, text):
    assert upload(as_(engineer), the_site, text).context["form"].errors.keys() == {"file"}
    assert not WaitingFile.objects.exists()
