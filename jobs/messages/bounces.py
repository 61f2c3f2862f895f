"""Messages that did not arrive: refused by the mail server, or come back afterwards."""

from dataclasses import dataclass

from django.db import transaction

from jobs.audit import record
from jobs.models import BouncedMessage, OutboxMessage
from jobs.refused import Refused

STATE = OutboxMessage.State


@dataclass(frozen=True, kw_only=True)
class Row:
    message: OutboxMessage
    state: str
    mark: str
    problem: str


@transaction.atomic
def note(*, message, by, reason):
    """Keep that a message came back, and why. Noted once for each sending: the first word stands.

    Raises Refused where it did not go out.
    """
    message = OutboxMessage.objects.select_for_update(of=("self",)).select_related("job").get(pk=message.pk)
    if message.state != STATE.SENT:
        raise Refused("It did not go out, so it cannot have come back.")
    if noted := message.bounces.filter(BouncedMessage.STANDS).first():
        return noted
    bounce = BouncedMessage.objects.create(message=message, by=by, reason=reason)
    if message.job:
        # Without the address: the trail is kept for good, an address is erased one day.
        record(message.job, by, f"Message came back: {message.subject}"[:200], reason=reason)
    return bounce


def with_state(messages):
    """A Row for each message, the ones in trouble first, then the newest."""
    standing = BouncedMessage.objects.filter(BouncedMessage.STANDS, message__in=[one.pk for one in messages])
    back = dict(standing.values_list("message", "reason"))
    rows = [_row(message, back.get(message.pk)) for message in messages]
    return sorted(rows, key=lambda row: (row.mark != "not-met", -row.message.pk))


def in_trouble(job):
    """How many messages of the job did not arrive, as far as is known."""
    failed = job.messages.filter(state=STATE.FAILED).count()
    return failed + BouncedMessage.objects.filter(BouncedMessage.STANDS, message__job=job).count()


def _row(message, reason):
    problems = [attempt.problem for attempt in message.attempts.all() if attempt.problem]
    last = problems[-1] if problems else ""
    if reason is not None:
        return Row(message=message, state="came back", mark="not-met", problem=reason)
    if message.state == STATE.FAILED:
        return Row(message=message, state="failed", mark="not-met", problem=last)
    if message.state == STATE.SENT:
        return Row(message=message, state="sent", mark="met", problem="")
    if message.state == STATE.PRINTED:
        why = "No mail server is set up: it stands on the screen that this site was started from."
        return Row(message=message, state="printed, not sent", mark="undecided", problem=why)
    return Row(message=message, state="tried, waits" if last else "to send", mark="undecided", problem=last)
