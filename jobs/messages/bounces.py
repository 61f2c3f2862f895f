"""Messages that did not arrive: refused by the mail server, or come back afterwards."""

from dataclasses import dataclass

from django.db import transaction

from jobs.audit import record
from jobs.models import BouncedMessage, OutboxMessage

STATE = OutboxMessage.State


@dataclass(frozen=True, kw_only=True)
class Row:
    message: OutboxMessage
    state: str
    mark: str
    problem: str


@transaction.atomic
def note(*, message, by, reason):
    """Keep that a message came back, and why. Noted once: the first word stands."""
    bounce, new = BouncedMessage.objects.get_or_create(message=message, defaults={"by": by, "reason": reason})
    if new and message.job:
        # Without the address: the trail is kept for good, an address is erased one day.
        record(message.job, by, f"Message came back: {message.subject}"[:200], reason=reason)
    return bounce


def with_state(messages):
    """A Row for each message, the ones in trouble first, then the newest."""
    back = dict(BouncedMessage.objects.filter(message__in=[m.pk for m in messages]).values_list("message", "reason"))
    rows = [_row(message, back.get(message.pk)) for message in messages]
    return sorted(rows, key=lambda row: (row.mark != "not-met", -row.message.pk))


def in_trouble(job):
    """How many messages of the job did not arrive, as far as is known."""
    failed = job.messages.filter(state=STATE.FAILED).count()
    return failed + BouncedMessage.objects.filter(message__job=job).exclude(message__state=STATE.FAILED).count()


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
