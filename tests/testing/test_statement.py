"""The driver's statement: signed once, by the driver of the day only."""

import pytest
from django.urls import reverse

from jobs.refused import Refused
from testing.models import DriverStatement
from testing.testday.result import result
from testing.testday.signing import countersign
from tests.testday_factories import climb, confirm_all, drive, fresh, opened_day, ratings

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    return day


@pytest.fixture
def clean_day(day, driver_user):
    for mass in ("tm1", "tm2"):
        climb(day, by=driver_user, mass=mass)
    return day


def sign(as_, user, day, **changed):
    rated = {f"{mass}_{key}": str(value) for mass, given in ratings().items() for key, value in given.items()}
    said = {"safe": "yes", "remark": "", "signed_name": day.booking.driver.name, **rated, **changed}
    return as_(user).post(reverse("testing:sign_statement", args=[day.pk]), said, follow=True)


def test_safe_after_both_masses_is_a_pass(as_, driver_user, engineer, clean_day, job):
    assert "Safe to drive" in sign(as_, driver_user, clean_day).content.decode()
    assert result(job).reasons == ("The driver's statement is not countersigned by the signatory.",)
    countersign(day=fresh(clean_day), by=engineer, safe=True, remark="", signed_name=engineer.full_name)
    found = result(job)
    assert found.passed and found.reasons == () and found.statement.safe


def test_safe_waits_for_both_masses(as_, driver_user, day, job):
    climb(day, by=driver_user, mass="tm1")
    text = sign(as_, driver_user, day).content.decode()
    assert "when both masses are clean at the target" in text and "Test Mass 2: first attempt" in text
    assert not DriverStatement.objects.exists()


def test_not_safe_may_be_said_before_any_run_and_ends_the_day(as_, driver_user, day, job):
    sign(as_, driver_user, day, safe="no", remark="Wanders at 60")
    with pytest.raises(Refused, match="The driver has signed"):
        drive(day, by=driver_user)
    assert "does not call the vehicle safe to drive: Wanders at 60" in " ".join(result(job).reasons)


def test_not_safe_fails_however_clean(as_, driver_user, clean_day, job):
    sign(as_, driver_user, clean_day, safe="no", remark="Lifts a wheel in section 4")
    found = result(job)
    assert all(step.passed for step in found.progress) and not found.passed


def test_not_safe_says_what(as_, driver_user, day):
    assert "Say what is not safe" in sign(as_, driver_user, day, safe="no").content.decode()


def test_safe_is_not_signed_for_a_vehicle_that_was_changed(as_, driver_user, clean_day, job):
    job.vehicle.seats = 4
    job.vehicle.save()
    assert "seats" in sign(as_, driver_user, clean_day).content.decode()
    assert not DriverStatement.objects.exists()


def test_signed_once(as_, driver_user, clean_day):
    sign(as_, driver_user, clean_day)
    assert "The driver has signed" in sign(as_, driver_user, clean_day, safe="no", remark="no").content.decode()
    assert fresh(clean_day).statement.safe


def test_upper_and_lower_case_do_not_matter_in_a_name(as_, driver_user, clean_day):
    sign(as_, driver_user, clean_day, signed_name=f"  {clean_day.booking.driver.name.upper()} ")
    assert DriverStatement.objects.exists()


@pytest.mark.parametrize(
    "field, value", [("signed_name", ""), ("signed_name", "Somebody Else"), ("signed_name", "a\x00"),
                     ("safe", "maybe"), ("safe", ""), ("remark", "x" * 501)]
)  # fmt: skip
def test_bad_input_is_named(as_, driver_user, clean_day, field, value):
    response = sign(as_, driver_user, clean_day, **{field: value})
    assert response.status_code == 200 and "Not saved yet" in response.content.decode()
    assert not DriverStatement.objects.exists()


def test_nobody_else_signs(as_, engineer, other_driver_user, auditor, clean_day):
    assert sign(as_, engineer, clean_day).status_code == 403
    assert sign(as_, other_driver_user, clean_day).status_code == 404
    assert sign(as_, auditor, clean_day).status_code == 403
    assert not DriverStatement.objects.exists()
