"""Who must act next on a job, as each step tells the job book."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs import lines, steps
from testing.models import Booking
from testing.scheduling import conditions as judged
from tests.factories import CrewMemberFactory, JobFactory, SiteFactory

pytestmark = pytest.mark.django_db


def booked(job, engineer, *, hours_ahead=48):
    start = timezone.now() + timedelta(hours=hours_ahead)
    return Booking.objects.create(
        job=job,
        site=SiteFactory(),
        driver=CrewMemberFactory(),
        starts_at=start,
        ends_at=start + timedelta(hours=4),
        booked_by=engineer,
    )


def lacking(monkeypatch, *titles):
    """Everything of the test day holds but these."""
    found = [
        judged.Condition(title=title, verdict="not_met" if title in titles else "met", text=f"{title} is missing.")
        for title in ("Booking", "Site", "Driver", "Driver's mass", "Insurance cover", "Weather")
    ]
    monkeypatch.setattr("testing.scheduling.step.conditions", lambda job: found)


def test_an_unsigned_triage_is_the_engineers():
    line = lines.of(JobFactory(stage="triage"))
    assert (line.who, line.act) == ("engineer", "The triage is not signed yet.")
    assert line.because == "Triage may take 3 days"


def test_without_a_booking_the_engineer_looks_for_a_day():
    line = lines.of(JobFactory(stage="scheduling"))
    assert (line.who, line.act) == ("engineer", "Booking: No day is booked yet.")


@pytest.mark.parametrize(
    ("missing", "who"),
    [
        (["Weather"], steps.WEATHER),
        (["Weather", "Insurance cover"], steps.OWNER),
        (["Insurance cover"], steps.OWNER),
        (["Driver", "Weather"], steps.ENGINEER),
        (["Booking", "Weather"], steps.ENGINEER),
        ([], steps.ENGINEER),
    ],
)
def test_of_a_booked_day_whoever_is_missing_acts_next(engineer, monkeypatch, missing, who):
    job = JobFactory(stage="scheduling")
    booking = booked(job, engineer)
    lacking(monkeypatch, *missing)
    line = lines.of(job)
    assert line.who == who
    if "Booking" not in missing:
        assert line.due_at == booking.starts_at


def test_a_forecast_is_asked_again_although_nobody_touched_the_job(engineer, monkeypatch):
    job = JobFactory(stage="scheduling")
    booked(job, engineer)
    lacking(monkeypatch, "Weather")
    assert lines.of(job).who == "weather"
    lacking(monkeypatch)
    assert lines.of(job).who == "weather"
    job.line.look_again_at = timezone.now()
    job.line.save()
    assert lines.of(job).who == "engineer"


def test_before_the_morning_of_the_test_it_is_weathers_turn(engineer):
    job = JobFactory(stage="testday")
    booking = booked(job, engineer)
    line = lines.of(job)
    assert (line.who, line.due_at, line.look_again_at) == ("weather", booking.starts_at, booking.starts_at)


def test_the_last_step_is_the_engineers():
    line = lines.of(JobFactory(stage="certification"))
    assert line.who == "engineer"
    assert line.act.startswith("No certificate is issued yet")


def test_a_closed_job_waits_for_nobody():
    line = lines.of(JobFactory(stage="done"))
    assert (line.who, line.late) == ("", False)


def test_a_new_forecast_turns_the_line_of_a_booked_job(engineer):
    from testing.scheduling import services
    from tests.scheduling_factories import in_days, keep_weather, level_site, ready_job, wanted

    job, site = ready_job(), level_site()
    services.book(by=engineer, job=job, **wanted(site=site, day=in_days(5)))
    keep_weather(site, in_days(5), by=engineer)
    before = lines.of(job)
    keep_weather(site, in_days(5), by=engineer, wind=6.0)
    turned = lines.of(job)
    assert (before.who, turned.who) == ("engineer", "weather")
    assert "wind 6.0 m/s is over 3 m/s" in turned.act
    keep_weather(site, in_days(5), by=engineer)
    lines.catch_up_all()
    job.line.refresh_from_db()
    assert (job.line.who, job.line.act) == (before.who, before.act)


def test_a_moved_or_cancelled_booking_turns_the_line(engineer):
    from testing.scheduling import services
    from tests.scheduling_factories import in_days, level_site, ready_job, wanted

    job, site = ready_job(), level_site()
    services.book(by=engineer, job=job, **wanted(site=site, day=in_days(5)))
    first = lines.of(job).due_at
    services.move(by=engineer, job=job, reason="Crew ill", **wanted(site=site, day=in_days(6)))
    assert lines.of(job).due_at == first + timedelta(days=1)
    services.cancel(by=engineer, job=job, reason="Wind")
    assert lines.of(job).act == "Booking: No day is booked yet."
