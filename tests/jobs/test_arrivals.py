"""What the day brings: vehicles that are expected, tests that are booked."""

from datetime import datetime, time, timedelta

import pytest
from django.utils import timezone

from tests.factories import CrewMemberFactory, JobFactory, SiteFactory

pytestmark = pytest.mark.django_db


def days_of(as_, desk):
    days = as_(desk).get("/jobs/").context["days"]
    return {day: [(a.job, a.clock, a.what) for a in arrivals] for day, arrivals in days.items()}


@pytest.fixture
def tomorrow():
    return timezone.localdate() + timedelta(days=1)


def test_a_vehicle_announced_by_telephone_is_expected_and_it_is_the_owners_turn(as_, desk, tomorrow):
    at = timezone.make_aware(datetime.combine(tomorrow, time(8, 30)))
    job = JobFactory(expected_at=at)
    JobFactory(expected_at=at + timedelta(days=7))
    JobFactory(expected_at=at, stage="triage")
    assert days_of(as_, desk) == {tomorrow: [(job, "08:30", "comes in")]}
    [(line, _), _] = as_(desk).get("/jobs/?who=owner").context["lines"]
    assert (line.job, line.act, line.due_at) == (job, "Brings the vehicle in.", at)


def test_a_booked_test_is_told_by_the_clock_of_its_site(as_, desk, engineer, tomorrow):
    from testing.models import Booking

    site = SiteFactory(time_zone="Australia/Perth")
    start = datetime.combine(tomorrow, time(9), site.zone)
    facts = {"site": site, "driver": CrewMemberFactory(), "booked_by": engineer, "ends_at": start + timedelta(hours=4)}
    standing = Booking.objects.create(job=JobFactory(stage="testday"), starts_at=start, **facts)
    Booking.objects.create(job=JobFactory(), starts_at=start, cancelled_at=timezone.now(), **facts)
    [(job, clock, what)] = days_of(as_, desk)[tomorrow]
    assert job == standing.job
    assert clock == "09:00 to 13:00 AWST"
    assert str(site) in what
