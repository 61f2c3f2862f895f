"""Scheduling as a step of the job: when it applies, what blocks it, what the owner reads."""

import pytest
from django.urls import reverse

from jobs import steps
from jobs.models import MorningAnswer
from testing.models import SignedTriage
from testing.scheduling import services
from testing.scheduling.step import STEP, owner_news
from tests.factories import JobFactory
from tests.scheduling_factories import in_days, keep_weather, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db


@pytest.fixture
def step():
    return steps.get("scheduling")


def sign(job, by, need):
    SignedTriage.objects.create(
        job=job, by=by, inputs={}, overrides=[], results={"requirements": [{"code": "LT2", "need": need}]}
    )


def book(job, engineer, weather=True):
    site = level_site()
    services.book(by=engineer, job=job, **wanted(site=site, day=in_days(20)))
    if weather:
        keep_weather(site, in_days(20), by=engineer)


@pytest.mark.parametrize(("need", "applies"), [("required", True), ("not_required", False), ("not_applicable", False)])
def test_it_applies_when_the_signed_triage_asks_for_the_lane_change(step, job, engineer, need, applies):
    sign(job, engineer, need)
    assert step.applies(job) is applies


def test_while_nothing_is_signed_it_may_apply(step, job):
    assert step.applies(job) is True


def test_everything_not_met_stands_in_the_way(step, engineer):
    job = ready_job()
    assert [blocker.text.split(":")[0] for blocker in step.blockers(job)] == ["Booking", "Insurance cover"]
    book(job, engineer, weather=False)
    assert [blocker.text.split(":")[0] for blocker in step.blockers(job)] == ["Weather"]
    assert all(blocker.url for blocker in step.blockers(job))


def test_nothing_stands_in_the_way_of_a_prepared_day(step, engineer):
    job = ready_job()
    book(job, engineer)
    assert list(step.blockers(job)) == []


def test_the_engineer_goes_on_to_the_test_day(as_, engineer):
    job = ready_job()
    sign(job, engineer, "required")
    book(job, engineer)
    as_(engineer).post(reverse("jobs:move_on", args=[job.number]), {"step": "scheduling"})
    job.refresh_from_db()
    assert job.stage == "testday"


@pytest.mark.parametrize("role", ["desk", "engineer", "auditor"])
def test_the_panel_shows_the_conditions(as_, request, engineer, role):
    job = ready_job()
    book(job, engineer)
    page = as_(request.getfixturevalue(role)).get(job.get_absolute_url()).content.decode()
    assert "Driver&#x27;s mass" in page
    assert "The anemometer on the day decides." in page
    assert (reverse("testing:schedule", args=[job.number]) in page) is (role == "engineer")


def test_the_owner_reads_day_place_and_what_to_bring(step, engineer):
    job = ready_job()
    assert "looking for a calm, dry morning" in step.owner_news(job).next
    book(job, engineer)
    news = step.owner_news(job)
    booking = services.standing_booking(job)
    assert booking.when in news.next
    assert booking.site.name in news.next
    asked = " ".join(news.asks)
    assert all(word in asked for word in ("insurance document", "roof rack", "spare wheel", "toolkit", "tank"))


def test_the_owners_page_shows_it(client, engineer):
    job = ready_job()
    book(job, engineer)
    page = client.get(reverse("jobs:owner_page", args=[job.owner_token])).content.decode()
    assert services.standing_booking(job).when in page


def test_a_job_that_needs_no_test_is_not_asked_for_a_day(step, engineer):
    job = JobFactory(stage="triage")
    sign(job, engineer, "not_applicable")
    assert steps.after(steps.get("triage"), job) != "scheduling"


def test_a_held_morning_is_not_called_booked(step, engineer):
    job = ready_job()
    services.book(by=engineer, job=job, **wanted(), hold_h=24)
    news = step.owner_news(job)
    assert "We hold a morning" in news.next
    assert "is booked" not in news.next


def test_a_held_morning_that_the_owner_cannot_is_not_asked_about_again(engineer):
    job = ready_job()
    book(job, engineer)
    booking = services.standing_booking(job)
    booking.held_until = booking.starts_at
    booking.save()
    assert "say below if it does not suit you" in owner_news(job).next
    MorningAnswer.objects.create(job=job, day=booking.day, suits=False)
    assert owner_news(job).next == f"You told us that {booking.when} does not suit you. We look for another morning."
    assert STEP.owner_title == "Planning the test day"
