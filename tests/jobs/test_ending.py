"""Closing a job without a certificate, and opening it again."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs import endings, lines
from jobs.models import AuditEntry, Job, OfferedMorning, OutboxMessage, Waiting
from jobs.overview.figures import Period
from jobs.overview.of_jobs import endings as figure
from tests.factories import JobFactory
from tests.owner_side import address
from tests.testday_factories import book, sign_triage

pytestmark = pytest.mark.django_db


def close(as_, who, job, **sent):
    response = as_(who).post(f"/jobs/{job.number}/close/", {"reason": "declined", "words": "", **sent}, follow=True)
    job.refresh_from_db()
    return response


def test_a_job_that_comes_to_nothing_leaves_the_book(as_, desk, client, job):
    close(as_, desk, job, reason="not_brought", words="Rang three times.")
    assert job.done
    assert AuditEntry.objects.filter(job=job, what="Closed without a certificate: Never brought in", by=desk).exists()
    lines.work_out(job.pk)
    assert lines.of(job).who == ""
    assert "without a certificate: Never brought in" in as_(desk).get("/jobs/?closed=1").content.decode()
    page = as_(desk).get(f"/jobs/{job.number}/").content.decode()
    assert "Closed without a certificate." in page
    assert "Rang three times." in page
    assert "certificate is in the register" not in page


def test_the_owner_reads_what_happened_and_nothing_internal(as_, desk, client, job):
    close(as_, desk, job, reason="not_brought", words="Rang three times.")
    page = client.get(address(job)).content.decode()
    assert "The vehicle was not brought in. No certificate was issued." in page
    assert "is issued" not in page
    assert "Rang three times" not in page
    assert "ended here</span> Booked in" in page
    assert "not reached</span> Certificate" in page
    assert "<h2>Estimate" not in page
    letter = OutboxMessage.objects.get(kind="closed_without")
    assert "The vehicle was not brought in." in letter.body
    assert not OutboxMessage.objects.filter(kind="certificate_issued").exists()


def test_bookings_offers_and_waiting_are_let_go(as_, desk, engineer, site, driver, job):
    sign_triage(job, engineer=engineer)
    book(job, site=site, driver=driver, engineer=engineer, days=3)
    OfferedMorning.objects.create(job=job, day=timezone.localdate() + timedelta(days=4), text="Morning", by=desk)
    Waiting.objects.create(job=job, who="owner", what="x", until=timezone.localdate(), by=desk)
    close(as_, desk, job)
    assert not job.bookings.standing().exists()
    assert not OfferedMorning.objects.exists()
    assert not Waiting.objects.exists()
    assert not OutboxMessage.objects.filter(kind="test_cancelled").exists()


def test_a_reason_is_chosen_and_another_reason_is_said(as_, desk, job):
    assert "Choose" in close(as_, desk, job, reason="").content.decode()
    assert "write down which" in close(as_, desk, job, reason="other").content.decode()
    assert "not one of the available choices" in close(as_, desk, job, reason="bored").content.decode()
    assert not job.done


def test_the_engineer_opens_it_again_where_it_stood(as_, desk, engineer):
    job = JobFactory(stage="triage")
    close(as_, desk, job)
    assert as_(desk).post(f"/jobs/{job.number}/open-again/", {"reason": "x"}).status_code == 403
    as_(engineer).post(f"/jobs/{job.number}/open-again/", {"reason": "The owner rang."})
    job = Job.objects.get(pk=job.pk)
    assert job.stage == "triage"
    assert endings.of(job) is None
    assert AuditEntry.objects.filter(job=job, what="Opened again: The owner rang.").exists()
    close(as_, desk, job)
    assert job.done


def test_only_what_was_closed_without_a_certificate_opens_again(as_, engineer, job):
    page = as_(engineer).post(f"/jobs/{job.number}/open-again/", {"reason": "x"}, follow=True).content.decode()
    assert "nothing to open again" in page


def test_a_closed_file_says_that_it_can_be_opened_again(as_, desk, job):
    close(as_, desk, job)
    page = as_(desk).post(f"/jobs/{job.number}/close/", {"reason": "declined"}, follow=True).content.decode()
    assert "is closed; the engineer can open it again." in page


def test_the_overview_counts_how_jobs_ended(as_, desk, job):
    close(as_, desk, job)
    JobFactory(stage="done")
    today = timezone.localdate()
    bars = {bar.label: bar.count for bar in figure(Period(first=today, last=today)).bars}
    assert (bars["With a certificate"], bars["The owner does not want to go on"]) == (1, 1)
