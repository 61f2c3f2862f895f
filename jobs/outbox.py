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
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone
from django.utils.formats import date_format

from jobs.models import BouncedMessage, OutboxAttachment, OutboxAttempt, OutboxMessage
from jobs.refused import Refused

WAITS = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 30, 120, 480, 1440))
CLAIM = timedelta(minutes=5)
BATCH = 200
# These hand a letter to nobody.
PRINTS = ("django.core.mail.backends.console.EmailBackend",)
# What these say is good for minutes: once they are done with, the stored letter need not hold it.
EMPTIED = ("code",)
STATE = OutboxMessage.State

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
    if message.state == STATE.SENT:
        return True, sent
    if message.state == STATE.PRINTED:
        return False, "No mail server is set up: the letter stands on the screen that this site was started from."
    if message.state == STATE.FAILED:
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


def _waiting(now):
    return OutboxMessage.objects.filter(state=STATE.TO_SEND, due_at__lte=now).exclude(claimed_until__gt=now)


def _due(now):
    return list(_waiting(now).order_by("due_at", "pk").values_list("pk", flat=True)[:BATCH])


def _claim(pk, now):
    """The message, ours for a few minutes; None when another run was quicker."""
    if not _waiting(now).filter(pk=pk).update(claimed_until=now + CLAIM):
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
        message.state = STATE.PRINTED
    elif not problem:
        message.state, message.sent_at = STATE.SENT, now
    elif tries > len(WAITS):
        message.state = STATE.FAILED
    else:
        message.due_at = now + WAITS[tries - 1]
    if message.kind in EMPTIED and message.state != STATE.TO_SEND:
        message.body = ""
    message.claimed_until = None
    message.save(update_fields=["state", "sent_at", "due_at", "claimed_until", "body"])


def may_be_tried_again(message):
    return _to_try_again(timezone.now()).filter(pk=message.pk).exists()


def try_again(message):
    """Make a message due that did not arrive, as far as is known. Raises Refused where it went out, or is going.

    The database decides in one step: whoever presses twice sends once.
    """
    now = timezone.now()
    taken = _to_try_again(now).filter(pk=message.pk).update(state=STATE.TO_SEND, due_at=now)
    message.refresh_from_db()
    if not taken:
        raise Refused(_why_not(message, now))


def _to_try_again(now):
    """What waits, failed, was printed, or came back since it was sent; nothing that is being sent or was emptied."""
    came_back = Exists(BouncedMessage.objects.filter(BouncedMessage.STANDS, message=OuterRef("pk")))
    not_arrived = Q(state__in=(STATE.TO_SEND, STATE.FAILED, STATE.PRINTED)) | Q(came_back)
    return OutboxMessage.objects.filter(not_arrived).exclude(claimed_until__gt=now).exclude(body="")


def _why_not(message, now):
    if message.claimed_until and message.claimed_until > now:
        return "It is being sent at this very moment; it was not sent a second time."
    if message.kind in EMPTIED:
        return "This code is no longer good, so it was not sent again: the owner asks for a new one on their page."
    if not message.body:
        return "This letter was erased with the old file: there is nothing to send."
    at = date_format(timezone.localtime(message.sent_at), "j M Y, H:i")
    return f"It was sent already, on {at}; it was not sent again."
