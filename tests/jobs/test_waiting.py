"""Saying that a job waits for somebody."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import Waiting
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


def test_a_job_is_set_to_wait_and_waits_no_more(as_, desk, job):
    until = timezone.localdate() + timedelta(days=9)
    sent = {"who": "third party", "what": "Approval of the kit", "until": until.isoformat()}
    page = as_(desk).post(f"/jobs/{job.number}/waiting/", sent, follow=True).content.decode()
    assert "Third party</strong> is next: Approval of the kit" in page
    as_(desk).post(f"/jobs/{job.number}/waiting/stop/")
    assert not Waiting.objects.exists()
    assert [entry.what for entry in job.audit_entries.all()] == [
        "Waits no more for third party: Approval of the kit",
        "Waits for third party: Approval of the kit",
    ]


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        (
            {"who": "the cat", "what": "x", "until": str(timezone.localdate())},
            "the cat is not one of the available choices",
        ),
        ({"who": "owner", "what": "x" * 500, "until": str(timezone.localdate())}, "at most 160 characters"),
        ({"who": "owner", "what": "x", "until": "soon"}, "Enter a valid date"),
        ({}, "This field is required"),
    ],
)
def test_a_mistake_is_named(as_, desk, job, sent, words):
    assert words in as_(desk).post(f"/jobs/{job.number}/waiting/", sent).content.decode()


def test_a_closed_job_waits_for_nobody(as_, desk):
    job = JobFactory(stage="done")
    sent = {"who": "owner", "what": "x", "until": str(timezone.localdate())}
    assert "is closed" in as_(desk).post(f"/jobs/{job.number}/waiting/", sent, follow=True).content.decode()
    assert not Waiting.objects.exists()
