"""What is kept how long, and what is erased then."""

import io
from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.utils import timezone

from certificates import import_batches, retention
from certificates.check import verify_chain
from certificates.models import Certificate
from jobs import outbox
from jobs.models import Job, Workshop
from tests.factories import JobFactory


@pytest.fixture
def later(plain):
    """A day on which the term of the owner's contact is over."""
    return plain.issued_on + timedelta(days=round(365.25 * 7) + 1)


def test_contact_is_erased_after_its_term_and_nothing_that_was_sealed(plain, later):
    before = Certificate.objects.values().get()
    outbox.post(job=plain.job, to=plain.job.owner.email, subject="A word", body="To read.", kind="certificate")
    assert list(retention.due(today=later)) == [plain.job]
    assert retention.erase(today=later) == 1
    owner = plain.job.owner
    owner.refresh_from_db()
    assert (owner.phone, owner.email) == ("", "")
    assert owner.name == plain.owner_name
    assert {message.to for message in plain.job.messages.all()} == {""}
    assert Certificate.objects.values().get() == before
    assert "their term of keeping is over" in plain.job.audit_entries.first().what
    assert list(retention.due(today=later)) == []
    assert list(verify_chain()) == []


def test_a_day_earlier_nothing_is_due(plain, later):
    assert list(retention.due(today=later - timedelta(days=2))) == []


def test_the_workshops_own_term_is_the_one_that_counts(plain, later, admin_user):
    Workshop.objects.create(name="Workshop", retention_years=9, saved_by=admin_user)
    assert list(retention.due(today=later)) == [] and retention.rules()[1].years == 9


def test_an_owner_who_is_here_again_keeps_their_contact(plain, later):
    JobFactory(owner=plain.job.owner)
    assert list(retention.due(today=later)) == []


def test_the_command_erases_only_when_it_is_told_to(plain):
    out = io.StringIO()
    call_command("retention", stdout=out)
    assert "0 jobs with contact past its term" in out.getvalue()
    assert "for good" in out.getvalue()
    call_command("retention", "--erase", stdout=out)
    assert "Contact of 0 owners erased." in out.getvalue()


def test_a_file_closed_without_a_certificate_is_due_as_well_and_a_younger_one_keeps_the_contact(plain, later):
    job = JobFactory()
    Job.objects.filter(pk=job.pk).update(stage="done", stage_since=timezone.now())
    assert set(retention.due(today=later)) == {plain.job, job}
    assert list(retention.due(today=later - timedelta(days=2))) == []
    young = JobFactory(owner=plain.job.owner)
    Job.objects.filter(pk=young.pk).update(stage="done", stage_since=timezone.now() + timedelta(days=400))
    assert list(retention.due(today=later)) == [job]
    assert retention.erase(today=later) == 1


def test_the_trail_holds_no_address_of_the_owner(engineer, plain):
    from jobs import receipt
    from jobs.messages import bounces

    receipt.send(by=engineer, job=plain.job)
    message = plain.job.messages.first()
    bounces.note(message=message, by=engineer, reason="Mailbox full")
    trail = "".join(f"{entry.what}{entry.details}" for entry in plain.job.audit_entries.all())
    assert "Receipt sent" in trail and "Mailbox full" in trail
    assert plain.job.owner.email not in trail


def test_a_table_nobody_came_back_for_is_thrown_away(db, monkeypatch):
    old = import_batches.keep(table=ContentFile(b"number"), papers=ContentFile(b"zip"))
    now = timezone.now()
    with monkeypatch.context() as patched:
        patched.setattr(import_batches.timezone, "now", lambda: now + import_batches.WAITS + timedelta(hours=1))
        import_batches.sweep()
    assert not import_batches.exists(old)
    assert import_batches.waiting() == []
    new = import_batches.keep(table=ContentFile(b"number"), papers=None)
    import_batches.sweep()
    assert import_batches.exists(new)
