"""E-mail that is written inside the act it tells of and sent afterwards, again and again until it is gone.

A message is claimed for a few minutes before it is sent. Whoever is killed while sending leaves it to the next
run; in the worst case, killed between the mail server's yes and ours, it is sent a second time, never lost.
"""

from dataclasses import dataclass
from datetime import timedelta

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage, get_connection
from django.core.validators import validate_email
from django.db import transaction
from django.utils import timezone

from jobs.models import OutboxAttachment, OutboxAttempt, OutboxMessage

WAITS = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 30, 120, 480, 1440))
CLAIM = timedelta(minutes=5)
BATCH = 200
# These hand a letter to nobody.
PRINTS = ("django.core.mail.backends.console.EmailBackend",)

_makers = {}


@dataclass(frozen=True, kw_only=True)
class Attachment:
    filename: str
    content_type: str
    content: bytes


def attach_when_sending(kind, make):
    """`make(message)` yields further attachments of that kind, made when the message leaves and not before."""
    _makers[kind] = make


@transaction.atomic
def post(*, job, to, subject, body, kind, attachments=(), key="", now=None):
    """Write a message into the outbox. Gives None for an address nobody can write to, or when the key was used.

    Call it inside the transaction of the act: either both are kept or neither.
    """
    try:
        validate_email(to)
    except ValidationError:
        return None
    if len(to) > OutboxMessage._meta.get_field("to").max_length:
        return None
    facts = {
        "job": job,
        "to": to,
        "kind": kind,
        "subject": " ".join(subject.split())[:200],
        "body": body,
        "due_at": now or timezone.now(),
    }
    if key:
        message, new = OutboxMessage.objects.get_or_create(key=key, defaults=facts)
    else:
        message, new = OutboxMessage.objects.create(**facts), True
    if not new:
        return None
    OutboxAttachment.objects.bulk_create(
        OutboxAttachment(message=message, filename=a.filename, content_type=a.content_type, content=a.content)
        for a in attachments
    )
    return message


def send_now(message):
    """Send this one message and no other: somebody waits for it. Gives it back as it stands afterwards."""
    now = timezone.now()
    claimed = _claim(message.pk, now)
    if claimed is not None:
        _settle(claimed, _send(claimed), now)
    message.refresh_from_db()
    return message


def told(message, sent):
    """(gone or not, what to tell whoever asked for it): `sent` only where a mail server took it."""
    state = OutboxMessage.State
    if message.state == state.SENT:
        return True, sent
    if message.state == state.PRINTED:
        return False, "No mail server is set up: the letter stands on the screen that this site was started from."
    if message.state == state.FAILED:
        return False, "It did not go out, and is not tried again by itself; the reason stands at the message."
    return False, "It did not go out yet: it is queued, and tried again by itself."


def send_due(now=None):
    """Send what is due; what fails waits longer each time. Gives how many were sent and how many failed."""
    sent = failed = 0
    for pk in _due(now or timezone.now()):
        message = _claim(pk, now or timezone.now())
        if message is None:
            continue
        problem = _send(message)
        _settle(message, problem, now or timezone.now())
        sent, failed = sent + (not problem), failed + bool(problem)
    return sent, failed


def _due(now):
    waiting = OutboxMessage.objects.filter(state=OutboxMessage.State.TO_SEND, due_at__lte=now)
    return list(waiting.order_by("due_at", "pk").values_list("pk", flat=True)[:BATCH])


def _claim(pk, now):
    """The message, ours for a few minutes; None when another run was quicker."""
    waiting = OutboxMessage.objects.filter(pk=pk, state=OutboxMessage.State.TO_SEND, due_at__lte=now)
    if not waiting.update(due_at=now + CLAIM):
        return None
    return OutboxMessage.objects.prefetch_related("attachments").get(pk=pk)


def _send(message):
    """Hand the message to the mail server. Gives what went wrong, or an empty text."""
    mail = EmailMessage(
        subject=message.subject,
        body=message.body,
        from_email=settings.DEFAULT_FROM_EMAIL,
        to=[message.to],
        headers={"Message-ID": f"<outbox-{message.pk}-{message.written_at:%Y%m%d%H%M%S}@job-book>"},
        connection=get_connection(),
    )
    try:
        made = _makers.get(message.kind, lambda message: ())(message)
        for attachment in (*message.attachments.all(), *made):
            mail.attach(attachment.filename, bytes(attachment.content), attachment.content_type)
        mail.send()
    except Exception as error:  # whatever the mail server or the network comes up with is tried again
        return f"{type(error).__name__}: {error}"[:300]
    return ""


@transaction.atomic
def _settle(message, problem, now):
    OutboxAttempt.objects.create(message=message, problem=problem)
    tries = message.attempts.count()
    if not problem and settings.EMAIL_BACKEND in PRINTS:
        message.state = OutboxMessage.State.PRINTED
    elif not problem:
        message.state, message.sent_at = OutboxMessage.State.SENT, now
    elif tries > len(WAITS):
        message.state = OutboxMessage.State.FAILED
    else:
        message.due_at = now + WAITS[tries - 1]
    message.save(update_fields=["state", "sent_at", "due_at"])


@transaction.atomic
def try_again(message, now=None):
    """Put a message that failed for good, or was only printed, back among those to send."""
    message.state, message.due_at = OutboxMessage.State.TO_SEND, now or timezone.now()
    message.save(update_fields=["state", "due_at"])
