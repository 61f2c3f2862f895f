"""A closed job offers no morning, takes no answer and calls nobody back to it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs import lines, owner_page
from jobs.models import BookLine, Job, OfferedMorning, OwnerWord
from jobs.owners import mornings
from jobs.retention import erasing
from tests.factories import JobFactory, OwnerFactory
from tests.owner_side import address, let_in, workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def closed(job, desk):
    OfferedMorning.objects.create(job=job, day=timezone.localdate() + timedelta(days=2), text="A morning", by=desk)
    offered = owner_page.mornings_of(job)
    assert offered
    Job.objects.filter(pk=job.pk).update(stage="done")
    job.refresh_from_db()
    return job, offered


def test_nothing_is_offered_and_nothing_is_taken(client, closed):
    job, offered = closed
    assert owner_page.mornings_of(job) == []
    page = let_in(client, job).post(address(job, "mornings/"), {"unsuitable": []}, follow=True).content.decode()
    assert "No morning is offered any more" in page
    assert not mornings.answer(job=job, offered=offered, unsuitable=set())
    assert not OwnerWord.objects.exists()
    lines.work_out(job.pk)
    assert lines.of(job).who == ""


def test_erasing_old_files_leaves_no_telephone_behind(closed, admin_user, django_capture_on_commit_callbacks):
    workshop(retention_years=1)
    job, _ = closed
    owner = OwnerFactory(phone="0491 570 156")
    other = JobFactory(owner=owner, stage="done")
    Job.objects.filter(pk=job.pk).update(owner=owner)
    Job.objects.update(stage_since=timezone.now() - timedelta(days=800))
    for pk in (job.pk, other.pk):
        lines.work_out(pk)
    assert BookLine.objects.filter(search__contains="0491570156").count() == 2
    with django_capture_on_commit_callbacks(execute=True):
        assert len(list(erasing.erase_all(by=admin_user))) == 2
    assert not BookLine.objects.filter(search__contains="0491570156").exists()
    assert not OfferedMorning.objects.exists()
