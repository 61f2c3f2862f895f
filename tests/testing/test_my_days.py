"""The list of day sheets."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from testing.models import Booking
from tests.factories import CrewMemberFactory, JobFactory, SiteFactory
from tests.testday_factories import book, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def mine(job, site, driver, engineer):
    return opened_day(job, site=site, driver=driver, engineer=engineer)


@pytest.fixture
def theirs(engineer, other_driver_user):
    return opened_day(
        JobFactory(), site=SiteFactory(), driver=CrewMemberFactory(user=other_driver_user), engineer=engineer
    )


def text_for(as_, user):
    return as_(user).get(reverse("testing:my_days")).content.decode()


def test_a_driver_sees_their_own_days_only(as_, driver_user, mine, theirs):
    text = text_for(as_, driver_user)
    assert reverse("testing:day_sheet", args=[mine.pk]) in text
    assert reverse("testing:day_sheet", args=[theirs.pk]) not in text
    assert theirs.booking.job.number not in text


def test_the_engineer_sees_all(as_, engineer, mine, theirs):
    text = text_for(as_, engineer)
    for day in (mine, theirs):
        assert reverse("testing:day_sheet", args=[day.pk]) in text


def test_a_booked_day_that_is_not_opened_yet(as_, driver_user, engineer, job, site, driver):
    book(job, site=site, driver=driver, engineer=engineer, days=3)
    assert "not opened yet" in text_for(as_, driver_user)


def test_long_past_and_cancelled_bookings_are_left_out(as_, driver_user, engineer, job, site, driver):
    book(job, site=site, driver=driver, engineer=engineer, days=-90)
    assert "No test day is booked for you" in text_for(as_, driver_user)
    Booking.objects.update(
        starts_at=timezone.now(), ends_at=timezone.now() + timedelta(hours=1), cancelled_at=timezone.now()
    )
    assert "No test day is booked for you" in text_for(as_, driver_user)


def test_times_are_those_of_the_site(as_, driver_user, engineer, job, driver):
    site = SiteFactory(time_zone="Australia/Perth")
    book(job, site=site, driver=driver, engineer=engineer, days=3)
    assert ", 09:00" in text_for(as_, driver_user)


def test_a_driver_without_crew_record_sees_none(as_, other_driver_user, mine):
    assert "No test day is booked for you" in text_for(as_, other_driver_user)


def test_others_are_kept_out(as_, desk, owner_user):
    for person in (desk, owner_user):
        assert as_(person).get(reverse("testing:my_days")).status_code == 403
