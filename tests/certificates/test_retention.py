"""What is kept how long, and what is erased then."""

import io
from datetime import timedelta

import pytest
from django.core.management import call_command

from certificates import retention
from certificates.check import verify_chain
from certificates.models import Certificate
from jobs import outbox
from jobs.models import Workshop
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
