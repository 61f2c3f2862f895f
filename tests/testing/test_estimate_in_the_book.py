"""An estimate that is not settled comes before the step, wherever the job stands."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs import lines
from jobs.estimates import decisions, versions
from jobs.models import Job
from tests.factories import JobFactory
from tests.jobs.test_estimate_price import sign
from tests.owner_side import sent_estimate, workshop
from tests.testing.test_next_act import booked, lacking

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def entered_workshop():
    return workshop()


@pytest.fixture
def reported(engineer):
    """A job that needs a driving report and no lane change, so it never comes to Scheduling."""
    job = JobFactory(stage="testday")
    sign(job, engineer, LT2="not_required", DRIVING_REPORT="required")
    return job


def line_of(job):
    lines.work_out(job.pk)
    return Job.objects.get(pk=job.pk).line


def heard(estimate, accept, desk):
    return decisions.decide(estimate=estimate, accept=accept, name="Olive", note="on the phone", by=desk)


def test_one_that_is_sent_waits_for_the_owner_at_any_step(reported, desk):
    assert line_of(reported).who == "engineer"
    estimate = sent_estimate(reported, desk)
    line = line_of(reported)
    assert (line.who, line.act) == ("owner", "Says yes or no to version 1 of the estimate.")
    assert line.due_at == lines.end_of(estimate.valid_until)
    heard(estimate, True, desk)
    assert line_of(reported).who == "engineer"


def test_one_that_ran_out_is_the_desks(reported, desk):
    estimate = versions.write(job=reported, by=desk, valid_until=timezone.localdate() - timedelta(days=1))
    estimate.events.create(kind="sent", by=desk)
    line = line_of(reported)
    assert (line.who, line.act) == ("desk", "Version 1 of the estimate ran out unanswered: ring the owner.")


def test_one_that_was_declined_is_the_desks_and_no_engineers_work(reported, desk):
    said = heard(sent_estimate(reported, desk), False, desk)
    line = line_of(reported)
    assert line.who == "desk"
    assert line.act.startswith("The owner declined version 1 of the estimate: settle it")
    assert line.due_at == said.at + timedelta(days=1)


def test_what_was_accepted_and_no_longer_covers_the_job_is_the_desks(reported, engineer, desk):
    heard(sent_estimate(reported, desk), True, desk)
    sign(reported, engineer, LT2="required", DRIVING_REPORT="required")
    line = line_of(reported)
    assert line.who == "desk"
    assert line.act == "What the owner accepted no longer covers the job: write a variation and ask again."
    versions.write(job=reported, by=desk, because="A lane change as well.")
    assert line_of(reported).act.endswith("no longer covers the job: send version 2.")


def test_a_booked_morning_comes_before_a_yes_that_has_more_time(engineer, desk, monkeypatch):
    job = JobFactory(stage="scheduling")
    lacking(monkeypatch, "Weather")
    booking = booked(job, engineer)
    estimate = sent_estimate(job, desk)
    assert line_of(job).who == "weather"
    heard(estimate, False, desk)
    booking.starts_at = timezone.now() + timedelta(hours=3)
    booking.save()
    line = line_of(job)
    assert (line.who, line.due_at) == ("desk", booking.starts_at)
