"""Striking out a run that was written down wrongly."""

import pytest
from django.urls import reverse

from testing.models import StruckRun
from testing.testday.ladder import progress_of
from tests.testday_factories import confirm_all, drive, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    return day


def strike(as_, user, run, reason="Entered for the wrong mass"):
    url = reverse("testing:strike_run", args=[run.day_id, run.number])
    return as_(user).post(url, {"reason": reason}, follow=True)


def test_it_stays_readable_and_opens_nothing(as_, engineer, driver_user, day):
    run = drive(day, by=driver_user)
    text = strike(as_, engineer, run).content.decode()
    assert "struck out" in text and "Entered for the wrong mass" in text
    assert progress_of(day)[0].next_kmh == 80
    assert day.runs.count() == 1


def test_numbers_are_not_used_again(as_, engineer, driver_user, day):
    strike(as_, engineer, drive(day, by=driver_user))
    assert drive(day, by=driver_user).number == 2


def test_only_once(as_, engineer, driver_user, day):
    run = drive(day, by=driver_user)
    strike(as_, engineer, run)
    assert "struck out already" in strike(as_, engineer, run, "again").content.decode()
    assert StruckRun.objects.get().reason == "Entered for the wrong mass"


@pytest.mark.parametrize("reason", ["", "   ", "x" * 201, "a\x00b"])
def test_a_reason_is_asked_for(as_, engineer, driver_user, day, reason):
    response = strike(as_, engineer, drive(day, by=driver_user), reason)
    assert response.status_code == 200 and "Not saved yet" in response.content.decode()
    assert not StruckRun.objects.exists()


def test_a_closed_file_keeps_its_runs(as_, engineer, driver_user, day, job):
    run = drive(day, by=driver_user)
    job.stage = "done"
    job.save()
    assert "The file is closed" in strike(as_, engineer, run).content.decode()
    assert not StruckRun.objects.exists()


def test_no_such_run(as_, engineer, day):
    assert as_(engineer).get(reverse("testing:strike_run", args=[day.pk, 77])).status_code == 404


def test_only_the_engineer(as_, driver_user, day):
    run = drive(day, by=driver_user)
    assert strike(as_, driver_user, run).status_code == 403
