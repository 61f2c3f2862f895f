"""The outbox: written with the act, sent afterwards, tried again, never lost."""

from datetime import timedelta

import pytest
from django.core import mail
from django.db import DatabaseError, transaction
from django.utils import timezone

from jobs import outbox
from jobs.append_only import Immutable
from jobs.models import OutboxAttempt, OutboxMessage

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


def test_a_failed_message_can_be_tried_again(job, broken, settings):
    message = post(job)
    OutboxMessage.objects.update(state="failed")
    message.refresh_from_db()
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    outbox.try_again(message)
    assert outbox.send_due() == (1, 0)


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
