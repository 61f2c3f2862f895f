"""The day sheet: what the crew works from, and who may read it."""

from datetime import timedelta

import pytest
from django.urls import reverse

from testing.models import Booking
from testing.testday.procedure import lane_change
from tests.testday_factories import climb, confirm_all, drive, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    return opened_day(job, site=site, driver=driver, engineer=engineer)


def page(as_, user, day):
    response = as_(user).get(reverse("testing:day_sheet", args=[day.pk]))
    assert response.status_code == 200
    return response.content.decode()


def test_shows_what_to_do_first(as_, driver_user, day):
    text = page(as_, driver_user, day)
    waiting = sum(item.before in ("first_run", "tm1") for item in lane_change().checks)
    assert f"{waiting} checks before the first run" in text
    assert "Stop when" in text and "Closed course only" in text
    assert "Record a run" not in text


def test_after_the_checks_the_first_speed_is_open(as_, driver_user, day):
    confirm_all(day, by=driver_user)
    text = page(as_, driver_user, day)
    assert text.count("Record a run: 80 km/h or below") == 1
    assert "load it to Test Mass 2 and record that" in text
    assert "First attempt at 80 km/h or below" in text


def test_shows_masses_course_and_cones_of_the_snapshot(as_, driver_user, day):
    text = page(as_, driver_user, day)
    # Source: WORKUP.md's example without the 12 kg of instruments.
    assert "2,281.5 kg" in text and "2,609.5 kg" in text
    assert "2.324 m wide" in text and "2.512 m wide" in text
    assert text.count('class="cone"') == 18


def test_a_run_that_does_not_count_says_why(as_, driver_user, day):
    confirm_all(day, by=driver_user)
    drive(day, by=driver_user, wind_mps=3.1)
    assert "wind 3.1 m/s is over the limit of 3 m/s" in page(as_, driver_user, day)


def test_failed_and_slow_runs_are_told_from_those_that_open_a_speed(as_, driver_user, day):
    confirm_all(day, by=driver_user)
    drive(day, by=driver_user, outcome="aborted", measured_kmh=None)
    drive(day, by=driver_user, measured_kmh=78)
    text = page(as_, driver_user, day)
    assert "counts as failed" in text and "slower than aimed at" in text


def test_passed_masses_ask_for_the_statement(as_, driver_user, day):
    confirm_all(day, by=driver_user)
    for mass in ("tm1", "tm2"):
        climb(day, by=driver_user, mass=mass)
    text = page(as_, driver_user, day)
    assert text.count(">Passed<") == 2
    assert "Your word decides" in text
    assert "Record a run" not in text


def test_a_changed_fact_makes_the_sheet_out_of_date(as_, driver_user, day, job):
    job.vehicle.tyre = "265/70R16"
    job.vehicle.save()
    text = page(as_, driver_user, day)
    assert "This sheet is out of date" in text and "changed since: tyre." in text


def test_a_cancelled_day_stays_readable(as_, engineer, day, driver_user):
    day.booking.cancelled_at = day.booking.starts_at
    day.booking.save()
    confirmed = page(as_, engineer, day)
    assert "booking of this day was cancelled" in confirmed
    assert "Confirm what I ticked" not in page(as_, driver_user, day)


def test_says_when_it_is_for_another_date(as_, driver_user, day):
    later = timedelta(days=3)
    Booking.objects.update(starts_at=day.booking.starts_at + later, ends_at=day.booking.ends_at + later)
    assert "not for today" in page(as_, driver_user, day)


def test_another_driver_sees_no_sheet(as_, other_driver_user, day):
    assert as_(other_driver_user).get(reverse("testing:day_sheet", args=[day.pk])).status_code == 404


def test_readers_read_and_do_not_record(as_, auditor, day):
    text = page(as_, auditor, day)
    assert "Confirm what I ticked" not in text and "not confirmed" in text


def test_desk_and_owner_are_kept_out(as_, desk, owner_user, day):
    for person in (desk, owner_user):
        assert as_(person).get(reverse("testing:day_sheet", args=[day.pk])).status_code == 403


def test_a_driver_without_account_is_named(as_, engineer, day, driver):
    driver.user = None
    driver.save()
    assert f"{driver.name} has no account" in page(as_, engineer, day)
