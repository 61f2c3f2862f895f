"""The step of the test day, and its result."""

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from jobs import stages
from testing.scheduling.services import cancel
from testing.testday.opening import open_day
from testing.testday.result import latest_day, result
from testing.testday.signing import countersign, sign_statement
from testing.testday.step import STEP
from testing.triage import decision
from tests.factories import JobFactory
from tests.testday_factories import (
    book,
    climb,
    confirm_all,
    drive,
    fresh,
    on_the_day,
    opened_day,
    ratings,
    ready_job,
    sign_triage,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    return day


def passed(day, driver_user, engineer):
    for mass in ("tm1", "tm2"):
        climb(day, by=driver_user, mass=mass)
    name = day.booking.driver.name
    sign_statement(day=day, by=driver_user, safe=True, remark="", signed_name=name, ratings=ratings())
    countersign(day=fresh(day), by=engineer, safe=True, remark="", signed_name=engineer.full_name)


def reasons(job):
    return " ".join(result(job).reasons)


def test_an_unsigned_triage_decides_nothing(job):
    assert STEP.applies(job) and not result(job).passed
    assert "not signed" in reasons(job)


def test_a_job_that_needs_no_test_skips_the_step(engineer):
    job = JobFactory(modifications=[("seating_change", {"seats": 5})])
    sign_triage(job, engineer=engineer)
    if decision.need(job, "LT2") == "required":
        decision.override(job=job, by=engineer, code="LT2", need="not_required", reason="no change of mass")
        decision.sign(job=job, by=engineer)
    assert not STEP.applies(job)
    assert result(job).required == () and result(job).reasons == () and not result(job).passed


def test_says_what_is_missing_in_order(job, engineer, site, driver):
    sign_triage(job, engineer=engineer)
    assert reasons(job) == "The test day has not been opened."


def test_both_masses_and_the_statement_are_needed(day, job, driver_user):
    climb(day, by=driver_user, mass="tm1")
    text = reasons(job)
    assert "Test Mass 2: first attempt" in text and "has not signed" in text
    climb(day, by=driver_user, mass="tm2")
    assert result(job).reasons == (f"{day.booking.driver.name} has not signed the driver's statement.",)


def test_passed_lets_the_job_go_on(day, job, driver_user, engineer):
    passed(day, driver_user, engineer)
    assert result(job).passed
    assert stages.move_on(job, by=engineer, expected="testday").stage == "certification"


def test_not_passed_does_not(day, job, driver_user, engineer):
    drive(day, by=driver_user)
    with pytest.raises(stages.Blocked):
        stages.move_on(job, by=engineer, expected="testday")


def test_a_vehicle_changed_after_the_runs_is_not_passed(day, job, driver_user, engineer):
    passed(day, driver_user, engineer)
    job.vehicle.wheelbase_mm = 2800
    job.vehicle.save()
    assert "wheelbase" in reasons(job)


def test_a_driver_who_is_weighed_again_later_changes_nothing(day, job, driver_user, driver, engineer):
    passed(day, driver_user, engineer)
    driver.mass_kg = 84
    driver.save()
    assert result(job).passed


def test_after_a_failed_day_the_next_one_counts(day, job, driver_user, engineer, site, driver):
    sign_statement(day=day, by=driver_user, safe=False, remark="Wanders", signed_name=driver.name)
    cancel(by=engineer, job=job, reason="Second attempt after alignment")
    job.refresh_from_db()
    job.stage = "testday"
    job.save()
    assert "called off" in reasons(job)
    book(job, site=site, driver=driver, engineer=engineer, days=1)
    second = open_day(job=job, by=engineer)
    with on_the_day(second):
        confirm_all(second, by=engineer)
        passed(second, driver_user, engineer)
    assert latest_day(job) == second and result(job).passed
    assert day.statement.remark == "Wanders"


def test_the_page_of_the_job_offers_to_open_the_day_once(as_, engineer, job, site, driver):
    ready_job(job, engineer=engineer)
    book(job, site=site, driver=driver, engineer=engineer)
    assert "Open the test day" in as_(engineer).get(job.get_absolute_url()).content.decode()
    day = open_day(job=job, by=engineer)
    text = as_(engineer).get(job.get_absolute_url()).content.decode()
    assert "Open the test day" not in text and reverse("testing:day_sheet", args=[day.pk]) in text


def test_the_owner_hears_the_day_and_then_the_outcome(day, job, driver_user, engineer):
    assert date_format(day.booking.local_start, "j M Y") in STEP.owner_news(job).next
    passed(day, driver_user, engineer)
    assert "passed" in STEP.owner_news(job).next


def test_the_owner_hears_of_a_fail_and_of_a_postponement(day, job, driver_user, driver):
    sign_statement(day=day, by=driver_user, safe=False, remark="Wanders", signed_name=driver.name)
    assert "did not pass" in STEP.owner_news(job).next


def test_the_owner_hears_that_a_new_day_is_looked_for(day, job):
    day.booking.cancelled_at = timezone.now()
    day.booking.save()
    assert "new test day" in STEP.owner_news(job).next
