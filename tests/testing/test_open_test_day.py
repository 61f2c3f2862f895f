"""Opening a test day: from booking and signed triage to the sheet."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from testing.models import TestDay
from testing.triage.canonical import same
from testing.workup import inputs_of, work_up_of
from tests.testday_factories import book, ready_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(job, site, driver, engineer):
    ready_job(job, engineer=engineer)
    book(job, site=site, driver=driver, engineer=engineer)
    return job


def press(as_, engineer, job):
    return as_(engineer).post(reverse("testing:open_test_day", args=[job.number]), follow=True)


def test_keeps_inputs_and_work_up_of_the_moment(as_, engineer, ready):
    response = press(as_, engineer, ready)
    day = TestDay.objects.get()
    assert response.redirect_chain == [(reverse("testing:day_sheet", args=[day.pk]), 302)]
    assert same(day.inputs, inputs_of(ready))
    assert same(day.work_up, work_up_of(ready))
    assert day.inputs["crew"] == {"driver_kg": 80.0}
    assert ready.audit_entries.first().what.startswith("Test day opened")


def test_pressing_twice_opens_once(as_, engineer, ready):
    press(as_, engineer, ready)
    press(as_, engineer, ready)
    assert TestDay.objects.count() == 1


def refused(as_, engineer, job, *words):
    text = press(as_, engineer, job).content.decode()
    assert not TestDay.objects.exists()
    for word in words:
        assert word in text


def test_not_without_a_booking(as_, engineer, job):
    refused(as_, engineer, ready_job(job, engineer=engineer), "no standing booking")


def test_not_at_another_step(as_, engineer, ready):
    ready.stage = "scheduling"
    ready.save()
    refused(as_, engineer, ready, "does not stand at the test day")


def test_not_with_an_unsigned_triage(as_, engineer, job, site, driver):
    job.stage = "testday"
    job.save()
    book(job, site=site, driver=driver, engineer=engineer)
    refused(as_, engineer, job, "The triage is not signed")


def test_not_when_facts_changed_since_the_signature(as_, engineer, ready):
    ready.vehicle.overall_width_mm = 1890
    ready.vehicle.save()
    refused(as_, engineer, ready, "sign it again first")


def test_names_what_to_measure(as_, engineer, ready, driver):
    driver.mass_kg = None
    driver.save()
    refused(as_, engineer, ready, "Undecided, measure first", "weigh the driver")


def test_not_above_the_gvm(as_, engineer, job, site, driver):
    job.vehicle.gvm_kg = 2600
    job.vehicle.save()
    ready_job(job, engineer=engineer)
    book(job, site=site, driver=driver, engineer=engineer)
    # Source: the example of the work-up without instruments: Test Mass 2 is 2,609.5 kg.
    refused(as_, engineer, job, "2,609.5 kg", "not driven above its GVM")


def test_not_when_the_cover_has_ended(as_, engineer, ready):
    ready.covers.update(valid_to=timezone.localdate() - timedelta(days=2))
    refused(as_, engineer, ready, "Insurance cover")


def test_only_the_engineer(as_, driver_user, desk, ready):
    for person in (driver_user, desk):
        assert as_(person).post(reverse("testing:open_test_day", args=[ready.number])).status_code == 403
    assert not TestDay.objects.exists()


def test_reading_opens_nothing(as_, engineer, ready):
    assert as_(engineer).get(reverse("testing:open_test_day", args=[ready.number])).status_code == 405
