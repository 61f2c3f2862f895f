"""The outbox: written with the act, sent afterwards, tried again, never lost."""

import importlib
from datetime import timedelta

import pytest
from django.apps import apps
from django.core import mail
from django.db import DatabaseError, transaction
from django.utils import timezone

from jobs import outbox
from jobs.append_only import Immutable
from jobs.messages import bounces
from jobs.models import OutboxAttempt, OutboxMessage
from jobs.refused import Refused

pytestmark = pytest.mark.django_db


def post(job, **changed):
    facts = {"to": "olive@example.com", "subject": "Booked", "body": "Tuesday at six.", "kind": "booked"}
    return outbox.post(job=job, **{**facts, **changed})


@pytest.fixture
def broken(settings):
    settings.EMAIL_BACKEND = "tests.jobs.test_outbox.Broken"


class Broken:
    """A mail server that is down."""

    def __init__(self, **kwargs):
        pass

    def send_messages(self, messages):
        raise ConnectionRefusedError("nobody there")


def test_a_message_is_sent_with_its_attachment(job):
    sheet = outbox.Attachment(filename="day.ics", content_type="text/calendar", content=b"BEGIN:VCALENDAR")
    message = post(job, attachments=[sheet])
    assert mail.outbox == []
    assert outbox.send_due() == (1, 0)
    (sent,) = mail.outbox
    assert (sent.to, sent.subject, sent.body) == (["olive@example.com"], "Booked", "Tuesday at six.")
    assert sent.attachments[0][:2] == ("day.ics", "BEGIN:VCALENDAR")
    message.refresh_from_db()
    assert (message.state, message.attempts.get().problem) == ("sent", "")


def test_it_is_sent_once(job):
    post(job)
    assert [outbox.send_due(), outbox.send_due()] == [(1, 0), (0, 0)]


def test_it_is_undone_with_the_act(job):
    with pytest.raises(DatabaseError), transaction.atomic():
        post(job)
        raise DatabaseError
    assert not OutboxMessage.objects.exists()


def test_what_may_be_told_once_is_told_once(job):
    assert post(job, key="eve 2026-12-03")
    assert post(job, key="eve 2026-12-03") is None
    assert OutboxMessage.objects.count() == 1


def test_a_subject_of_two_lines_becomes_one_and_carries_no_header(job):
    post(job, subject="Booked\r\nBcc: everybody@example.com")
    outbox.send_due()
    assert mail.outbox[0].subject == "Booked Bcc: everybody@example.com"
    assert mail.outbox[0].recipients() == ["olive@example.com"]


@pytest.mark.parametrize("to", ["", "nobody", "a@b", "a@example.com\nBcc: b@example.com", "x" * 300 + "@example.com"])
def test_nobody_can_write_to_such_an_address(job, to):
    assert post(job, to=to) is None


def test_what_fails_waits_longer_each_time_and_then_stands_as_failed(job, broken):
    message, now = post(job), timezone.now()
    waits = []
    while message.state == "to_send":
        now = max(now, message.due_at)
        assert outbox.send_due(now) == (0, 1)
        message.refresh_from_db()
        waits.append(message.due_at - now)
    assert message.state == "failed"
    assert waits[:-1] == list(outbox.WAITS)
    problems = set(message.attempts.values_list("problem", flat=True))
    assert problems == {"ConnectionRefusedError: nobody there"}


@pytest.mark.parametrize("state", ["to_send", "failed", "printed"])
def test_what_did_not_arrive_can_be_tried_again_before_its_time(job, state):
    message = post(job)
    OutboxMessage.objects.update(state=state, due_at=timezone.now() + outbox.WAITS[-1])
    assert outbox.may_be_tried_again(message)
    outbox.try_again(message)
    assert outbox.send_due() == (1, 0)


def refused_again(message):
    assert not outbox.may_be_tried_again(message)
    with pytest.raises(Refused) as refused:
        outbox.try_again(message)
    assert outbox.send_due() == (0, 0)
    return str(refused.value)


def test_what_went_out_is_not_tried_again(job):
    message = outbox.send_now(post(job))
    assert "It was sent already, on" in refused_again(message)
    assert len(mail.outbox) == 1


def test_what_came_back_is_tried_again_once_for_each_time_it_came_back(job, desk):
    message = outbox.send_now(post(job))
    bounces.note(message=message, by=desk, reason="Mailbox full")
    outbox.try_again(message)
    outbox.send_now(message)
    assert len(mail.outbox) == 2
    assert "sent already" in refused_again(message)


def test_nobody_sends_what_is_being_sent(job, monkeypatch):
    message, said = post(job), []

    def pressed_meanwhile(sending):
        said.append(refused_again(sending))
        return ""

    monkeypatch.setattr(outbox, "_send", pressed_meanwhile)
    outbox.send_now(message)
    assert said == ["It is being sent at this very moment; it was not sent a second time."]
    assert (message.state, message.claimed_until) == ("sent", None)


def test_the_letter_with_a_code_is_emptied_once_it_is_done_with(job, broken, settings):
    message = post(job, kind="code", body="Your code is 123456.")
    outbox.send_due()
    message.refresh_from_db()
    assert message.body, "it is tried again, and needs its text"
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    outbox.try_again(message)
    assert outbox.send_now(message).body == ""
    assert "123456" in mail.outbox[0].body
    assert "no longer good" in refused_again(message)


@pytest.mark.parametrize("state", ["printed", "failed"])
def test_it_is_emptied_as_well_where_it_went_to_nobody(job, broken, settings, state):
    message = post(job, kind="code", body="Your code is 123456.")
    if state == "printed":
        settings.EMAIL_BACKEND = outbox.PRINTS[0]
    for wait in (timedelta(), *outbox.WAITS):
        OutboxMessage.objects.update(due_at=timezone.now() - wait)
        outbox.send_due()
    message.refresh_from_db()
    assert (message.state, message.body) == (state, "")
    assert "no longer good" in refused_again(message)


def test_a_letter_that_was_cleared_with_its_file_goes_to_nobody(job):
    message = post(job)
    OutboxMessage.objects.update(state="failed", to="", body="")
    assert "erased with the old file" in refused_again(message)


def test_codes_of_earlier_letters_are_emptied_by_the_migration(job):
    rows = {state: post(job, kind="code", body="123456") for state in ("to_send", "sent", "failed", "printed")}
    rows["another"] = post(job)
    for state in ("sent", "failed", "printed"):
        OutboxMessage.objects.filter(pk=rows[state].pk).update(state=state)
    importlib.import_module("jobs.migrations.0018_claimed_letters").empty_codes(apps, None)
    kept = {name for name, row in rows.items() if OutboxMessage.objects.get(pk=row.pk).body}
    assert kept == {"to_send", "another"}


def test_one_address_that_fails_does_not_hold_up_the_next(job, monkeypatch):
    post(job, to="broken@example.com")
    post(job, to="good@example.com")
    send = outbox.EmailMessage.send

    def some_fail(message, *args, **kwargs):
        if message.to == ["broken@example.com"]:
            raise OSError("no such mailbox")
        return send(message, *args, **kwargs)

    monkeypatch.setattr(outbox.EmailMessage, "send", some_fail)
    assert outbox.send_due() == (1, 1)
    assert mail.outbox[0].to == ["good@example.com"]


def test_killed_while_sending_the_message_is_sent_by_the_next_run(job, monkeypatch):
    class Killed(BaseException):
        pass

    def killed(message, *args, **kwargs):
        raise Killed

    message, now = post(job), timezone.now()
    with monkeypatch.context() as patch:
        patch.setattr(outbox.EmailMessage, "send", killed)
        with pytest.raises(Killed):
            outbox.send_due(now)
    assert outbox.send_due(now + timedelta(seconds=1)) == (0, 0)
    assert outbox.send_due(now + outbox.CLAIM) == (1, 0)
    message.refresh_from_db()
    assert message.state == "sent"


def test_attempts_are_written_once(job):
    post(job)
    outbox.send_due()
    with pytest.raises(Immutable):
        OutboxAttempt.objects.all().delete()


def test_not_before_it_is_due(job):
    later = timezone.now() + timedelta(hours=2)
    post(job, now=later)
    assert outbox.send_due() == (0, 0)
    assert outbox.send_due(later) == (1, 0)
