"""Old files: one rule for the list, for what is shown beforehand, for the act and for the command."""

import io
from datetime import date, timedelta

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from jobs import outbox
from jobs.estimates import versions
from jobs.models import Job, NoMail, OwnerLink
from jobs.owners import questions
from jobs.retention import erasing, kinds, rule
from jobs.retention.of_jobs import ERASED, JOB
from tests.factories import JobFactory
from tests.owner_side import sent_estimate, workshop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _one_year(db):
    workshop(retention_years=1)


def closed(job, days):
    Job.objects.filter(pk=job.pk).update(stage="done", stage_since=timezone.now() - timedelta(days=days))
    job.refresh_from_db()
    return job


def page_of(job):
    return reverse("jobs:old_file", args=["job", job.pk])


def erase(client, job):
    return client.post(f"{page_of(job)}erase/", follow=True).content.decode()


def listed():
    return [old.file for old in erasing.old_files()]


def test_files_past_their_years_are_counted_and_listed(as_, admin_user, job):
    assert "No closed file is that old" in as_(admin_user).get("/workshop/old-files/").content.decode()
    closed(job, 400)
    assert "1 closed file is older" in as_(admin_user).get("/workshop/").content.decode()
    page = as_(admin_user).get("/workshop/old-files/").content.decode()
    assert job.number in page and page_of(job) in page


def test_what_goes_and_what_stays_is_told_before_it_happens(as_, admin_user, desk, job):
    questions.ask(job=job, text="May the bull bar stay on?")
    closed(job, 400)
    page = as_(admin_user).get(page_of(job)).content.decode()
    assert "questions: 1" in page and "telephone and e-mail of the owner: 1" in page
    for stays in kinds.for_good:
        assert stays.replace("'", "&#x27;") in page
    assert job.owner_questions.exists()


def test_an_erased_file_keeps_what_proves(as_, admin_user, desk, job):
    questions.ask(job=job, text="May the bull bar stay on?")
    estimate = sent_estimate(job, desk)
    NoMail.objects.create(owner=job.owner)
    token, owner, trail = job.owner_token, job.owner, job.audit_entries.count()
    closed(job, 400)
    assert "is erased" in erase(as_(admin_user), job)
    owner.refresh_from_db()
    assert (owner.name, owner.phone, owner.email) == (job.owner.name, "", "")
    assert not job.owner_questions.exists() and not NoMail.objects.exists()
    assert {(message.to, message.body) for message in job.messages.all()} == {("", "")}
    assert as_(admin_user).get(f"/owner/{token}/").status_code == 404
    assert versions.as_sent(estimate)
    assert job.vehicle.modifications.exists()
    entry = job.audit_entries.first()
    assert (job.audit_entries.count(), entry.by, entry.what) == (trail + 1, admin_user, ERASED)
    assert entry.details["questions"] == entry.details["telephone and e-mail of the owner"] == 1
    assert "nothing is left in it" in erase(as_(admin_user), job)
    assert job.audit_entries.count() == trail + 1


def test_command_and_page_do_the_same(as_, admin_user, desk):
    by_hand, by_command = JobFactory(), JobFactory()
    for job in (by_hand, by_command):
        questions.ask(job=job, text="When?")
        sent_estimate(job, desk)
        closed(job, 400)
    erase(as_(admin_user), by_hand)
    out = io.StringIO()
    call_command("retention", stdout=out)
    assert by_command.number in out.getvalue() and by_hand.number not in out.getvalue()
    assert "for good" in out.getvalue() and "Files past their years: 1." in out.getvalue()
    assert by_command.owner_questions.exists()
    call_command("retention", "--erase", stdout=out)
    assert "Files erased: 1." in out.getvalue()
    hand, command = by_hand.audit_entries.first(), by_command.audit_entries.first()
    assert (hand.what, hand.details) == (command.what, command.details)
    assert (hand.by, command.by) == (admin_user, None)
    assert listed() == []


@pytest.mark.parametrize("days", [0, 300])
def test_a_younger_file_is_kept_and_keeps_the_owner_reachable(as_, admin_user, job, days):
    old = closed(JobFactory(owner=job.owner), 400)
    closed(job, days)
    assert "is still kept" in erase(as_(admin_user), job)
    assert f"the owner has a younger file, {job.number}" in as_(admin_user).get(page_of(old)).content.decode()
    erase(as_(admin_user), old)
    job.owner.refresh_from_db()
    assert job.owner.phone
    assert job.number in old.audit_entries.first().details["telephone and e-mail of the owner"]
    assert not job.audit_entries.exists()
    closed(job, 370)
    assert listed() == [job]
    erase(as_(admin_user), job)
    job.owner.refresh_from_db()
    assert (job.owner.phone, job.owner.email) == ("", "")


def test_an_owner_who_is_here_again_keeps_their_contact(admin_user, job):
    closed(job, 400)
    JobFactory(owner=job.owner)
    list(erasing.erase_all(by=admin_user))
    job.owner.refresh_from_db()
    assert job.owner.phone and listed() == []


def test_of_two_old_files_the_one_closed_last_takes_the_contact_along(admin_user, job):
    first = closed(JobFactory(owner=job.owner), 900)
    closed(job, 800)
    assert "closed last" in erasing.stays(erasing.old_file(JOB, first.pk))["telephone and e-mail of the owner"]
    list(erasing.erase_all(by=admin_user))
    job.owner.refresh_from_db()
    assert job.owner.phone == ""
    assert [one.audit_entries.filter(what=ERASED).count() for one in (first, job)] == [1, 1]


def test_what_comes_into_an_erased_file_later_goes_as_well(admin_user, job):
    """It is the contents that count: an entry in the trail says nothing about a letter written after it."""
    closed(job, 400)
    list(erasing.erase_all(by=admin_user))
    outbox.post(job=job, to="olive@example.com", subject="A word", body="To read.", kind="certificate")
    assert listed() == [job]
    assert [gone for _, gone in erasing.erase_all(by=admin_user)] == [{"addresses and texts of letters": 1}]


def test_a_letter_without_an_address_is_not_sent_again(as_, desk, admin_user, job):
    message = outbox.post(job=job, to="olive@example.com", subject="A word", body="To read.", kind="link")
    closed(job, 400)
    list(erasing.erase_all(by=admin_user))
    page = as_(desk).post(f"/jobs/{job.number}/messages/{message.pk}/again/", follow=True).content.decode()
    assert "there is nothing to send" in page and "erased with the old file" in page
    assert not message.attempts.exists()


def test_an_open_file_or_none_has_no_page_here(as_, admin_user, job):
    for address in (page_of(job), "/workshop/old-files/job/999999/", "/workshop/old-files/nothing/1/"):
        assert as_(admin_user).get(address).status_code == 404
        assert as_(admin_user).post(f"{address}erase/").status_code == 404
    assert OwnerLink.objects.filter(revoked_at=None).exists()


def test_the_list_asks_the_database_no_more_for_ten_files_than_for_one(
    as_, admin_user, job, django_assert_max_num_queries
):
    closed(job, 400)
    client = as_(admin_user)
    client.get("/workshop/old-files/")
    for _ in range(9):
        closed(JobFactory(), 400)
    with django_assert_max_num_queries(12):
        assert client.get("/workshop/old-files/").content.decode().count("What goes, what stays<") == 10


@given(since=st.dates(date(2000, 1, 1), date(2040, 1, 1)), later=st.integers(-2, 2), years=st.integers(1, 12))
def test_a_file_is_past_its_years_on_the_day_after_the_last_and_not_before(since, later, years):
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(rule, "years", lambda: years)
        last = rule.last_day(since)
        patched.setattr(rule, "today", lambda: last + timedelta(days=later))
        assert (since < rule.limit()) == (later > 0)


def test_a_year_that_no_calendar_has_is_no_end_of_the_page():
    assert rule.last_day(date(9999, 12, 31)) == date(9999, 12, 31)
