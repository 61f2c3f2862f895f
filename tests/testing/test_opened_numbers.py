"""Weather, chance, ladder and logged pass can be opened on screen: inputs, formula, source."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from testing.scheduling import climate, finding
from testing.scheduling.records import Reading
from testing.testday import logs
from testing.testday.models import LoggedPass
from tests.scheduling_factories import at, in_days, keep_weather, level_site, ready_job
from tests.testday_factories import confirm_all, drive, fresh, opened_day
from tests.testday_logs import as_csv, session
from tests.testing.test_day_sheet_logs import taken

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    return day


def test_a_window_and_the_light_of_a_day(as_, desk, engineer):
    site, day = level_site(latitude_deg=-33.87, longitude_deg=151.21), in_days(20)
    keep_weather(site, day, by=engineer, h16={"rain_mm": 1.0})
    page = as_(desk).get(reverse("testing:forecast", args=[site.pk]), {"day": day.isoformat()}).content.decode()
    assert "How light and windows came about (2 numbers)" in page
    assert f"Window {day:%d/%m/%Y}" in page and "<dt>drying time</dt><dd>3 h</dd>" in page
    assert "Astronomical Almanac" in page
    assert "no rain in it nor in the drying time before it" in page


def test_the_chance_of_a_morning(as_, engineer, driver):
    site, job = level_site(), ready_job()
    keep_weather(site, in_days(2), by=engineer)
    (found,) = finding.find([job], first_day=in_days(2), days=1).proposals
    assert found.chance.working.value == found.chance.value
    assert found.chance.working.inputs["p of the forecast"] == f"{found.chance.value:.3f}"
    asked = {"jobs": job.number, "first_day": in_days(2).isoformat(), "days": "7"}
    page = as_(engineer).get("/planner/find/", asked).content.decode()
    assert "How the chance came about" in page
    assert "our assumptions, no published source" in page


def test_the_past_of_a_site(as_, desk):
    site = level_site()
    start = at(site, in_days(-40))
    hours = [
        Reading(starts_at=start + timedelta(hours=n), wind_mps=1.0, gust_mps=None, rain_mm=0.0) for n in range(24 * 20)
    ]
    climate.store_past(site=site, readings=hours)
    page = as_(desk).get(reverse("testing:past_weather", args=[site.pk])).content.decode()
    assert "How the likeliest start of each month came about" in page
    assert "<dt>windows judged</dt>" in page
    assert "the past taken as a guide, bookings as independent" in page


def test_the_ladder_of_a_day_with_its_history(as_, driver_user, day):
    drive(day, by=driver_user, aimed=80, measured_kmh=80.4)
    page = as_(driver_user).get(reverse("testing:day_sheet", args=[day.pk])).content.decode()
    assert "Next speed at Test Mass 1" in page and "90 km/h" in page
    assert "<dt>run 1</dt><dd>80 km/h aimed at, 80.4 km/h measured, clean</dd>" in page
    assert "common practice, no published source" in page


def test_a_logged_pass(as_, engineer, driver_user, day):
    drive(day, by=driver_user, aimed=80, measured_kmh=80)
    taken(day, logs.recognise(SimpleUploadedFile("a.csv", as_csv(session([80.0])))), engineer)
    url = reverse("testing:logged_pass", args=[day.pk, LoggedPass.objects.get().pk])
    page = as_(driver_user).get(url).content.decode()
    assert "How the numbers came about (4 numbers)" in page
    assert "least distance from a cone to the rectangle of the body" in page
    assert "kinematics; checked on synthetic runs with known answers" in page
    assert fresh(day)
