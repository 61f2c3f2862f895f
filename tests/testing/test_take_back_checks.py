"""A check that was ticked wrongly, or holds no longer: taken back with a reason, and confirmed anew."""

import uuid
from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.urls import reverse
from django.utils import timezone

from jobs.append_only import Immutable
from jobs.refused import Refused
from testing.testday import checks
from testing.testday.models import Check, CheckException, TakenBack
from testing.testday.offline import take_all
from tests.testday_factories import confirm_all, drive, fresh, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    return opened_day(job, site=site, driver=driver, engineer=engineer)


@pytest.fixture
def checked(day, engineer):
    confirm_all(day, by=engineer)
    return day


def take_back(as_, user, day, key="brakes", reason="The handbrake was not tried"):
    return as_(user).post(reverse("testing:take_back_check", args=[day.pk, key]), {"reason": reason}, follow=True)


def sent(day, *, by, at, keys):
    """A tick as a phone sends it when it has reception again."""
    entry = {"kind": "check", "sent_as": str(uuid.uuid4()), "at": at.isoformat(), "data": {"check": keys}}
    return take_all(day=day, by=by, sent={"now": timezone.now().isoformat(), "entries": [entry]})[0]


def test_runs_wait_for_it_again_and_the_sheet_says_by_whom_and_why(as_, driver_user, checked):
    assert drive(checked, by=driver_user).counts
    page = take_back(as_, driver_user, checked).content.decode()
    assert "Taken back by" in page
    assert "The handbrake was not tried" in page
    assert [item.key for item in checks.missing(checked, mass="tm1")] == ["brakes"]
    with pytest.raises(Refused, match="Confirm first"):
        drive(checked, by=driver_user, aimed=90)


def test_confirmed_anew_it_stands_and_both_are_kept(as_, driver_user, engineer, checked):
    take_back(as_, driver_user, checked)
    assert checks.confirm(day=checked, keys=["brakes"], by=driver_user) == ["brakes"]
    assert not checks.missing(checked, mass="tm1")
    kept = checked.checks.filter(key="brakes")
    assert [(check.round, check.by) for check in kept] == [(1, engineer), (2, driver_user)]
    take_back(as_, engineer, checked, reason="Pedal goes soft")
    assert [back.reason for back in checks.taken_back(checked)] == ["The handbrake was not tried", "Pedal goes soft"]


def test_a_run_from_a_phone_is_judged_by_what_stood_when_it_was_driven(as_, driver_user, checked):
    before = timezone.now()
    take_back(as_, driver_user, checked)
    assert not checks.missing(checked, mass="tm1", at=before)
    assert checks.missing(checked, mass="tm1", at=timezone.now())


def test_an_exception_is_taken_back_too(as_, engineer, day):
    checks.accept_exception(day=day, key="tilt_meter", by=engineer, reason="None fitted")
    page = take_back(as_, engineer, day, key="tilt_meter", reason="One was found").content.decode()
    assert "One was found" in page
    assert "tilt_meter" in [item.key for item in checks.missing(day, mass="tm1")]
    assert checks.accept_exception(day=day, key="tilt_meter", by=engineer, reason="It does not read").round == 2


def test_a_tick_that_waited_on_a_phone_does_not_undo_it(as_, driver_user, engineer, day):
    ticked = timezone.now() - timedelta(minutes=5)
    checks.confirm(day=day, keys=["brakes"], by=engineer)
    take_back(as_, engineer, day)
    assert sent(day, by=driver_user, at=ticked, keys=["brakes", "cones"])["state"] == "stored"
    assert {item.key for item in checks.missing(day, mass="tm1")} >= {"brakes"}
    assert "cones" in checks.confirmed(day)
    assert "before it was taken back" in day.kept_entries.get().reason
    # Confirmed afterwards on a phone, it stands.
    sent(day, by=driver_user, at=timezone.now(), keys=["brakes"])
    assert checks.confirmed(day)["brakes"].by == driver_user


def test_the_same_tick_sent_again_is_nothing_new(as_, driver_user, day):
    ticked = timezone.now() - timedelta(minutes=5)
    sent(day, by=driver_user, at=ticked, keys=["brakes"])
    take_back(as_, driver_user, day)
    sent(day, by=driver_user, at=ticked, keys=["brakes"])
    assert "brakes" not in checks.confirmed(day)
    assert not day.kept_entries.exists()


def test_what_is_not_confirmed_cannot_be_taken_back(as_, engineer, day):
    page = take_back(as_, engineer, day).content.decode()
    assert "there is nothing to take back" in page
    assert not TakenBack.objects.exists()
    assert take_back(as_, engineer, day, key="nonsense").status_code == 404


def test_a_reason_is_asked_for(as_, driver_user, checked):
    assert "Reason" in take_back(as_, driver_user, checked, reason=" ").content.decode()
    assert not TakenBack.objects.exists()


def test_not_after_the_driver_has_signed(as_, driver_user, engineer, checked):
    checked.booking.job.stage = "certify"
    checked.booking.job.save()
    page = take_back(as_, driver_user, fresh(checked)).content.decode()
    assert "does not stand at the test day" in page
    assert not TakenBack.objects.exists()


def test_only_the_crew_of_the_day(as_, other_driver_user, auditor, checked):
    assert take_back(as_, other_driver_user, checked).status_code == 404
    assert take_back(as_, auditor, checked).status_code == 403


def test_it_is_written_once_in_the_model_and_in_the_database(as_, driver_user, checked):
    take_back(as_, driver_user, checked)
    with pytest.raises(Immutable):
        TakenBack.objects.update(reason="Nothing happened")
    for model in (TakenBack, Check, CheckException):
        table = model._meta.db_table
        if model.objects.exists():
            with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
                cursor.execute(f"DELETE FROM {table}")  # noqa: S608


def test_it_is_of_one_check_or_of_one_exception(driver_user, checked):
    with pytest.raises(IntegrityError), transaction.atomic():
        TakenBack.objects.create(reason="Of nothing", by=driver_user)
