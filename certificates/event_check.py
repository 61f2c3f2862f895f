"""Checking what happened to certificates after they were issued."""

import json
from datetime import timedelta

from django.db.models import Prefetch, TextField
from django.db.models.functions import Cast

from certificates import audits, event_chain
from certificates.canonical import NotCanonical
from certificates.chain import Problem
from certificates.models import Audit, Event
from certificates.models.event import SAMPLED
from certificates.seal import FIRST_PREDECESSOR, seal_of
from jobs.models import Counter

_A_MOMENT = timedelta(minutes=1)


def check_events():
    """Every Problem of the events, in their order."""
    previous = None
    for event in _events():
        for what in _faults(event, previous):
            yield Problem(number=event.subject.number, position=event.position, what=f"event: {what}")
        previous = event
    written = Counter.objects.filter(name=event_chain.POSITIONS).values_list("last", flat=True).first() or 0
    last = previous.position if previous else 0
    if last != written:
        what = f"event: {written} events were written, the last one that is left is {last}"
        yield Problem(number="", position=last, what=what)


def check_audits():
    """Every Problem of the samples: drawn again from the kept list, each must give what was written down."""
    sampled = Event.objects.filter(kind=SAMPLED).select_related("certificate", "imported").order_by("position")
    for audit in Audit.objects.order_by("pk").prefetch_related(Prefetch("events", sampled, to_attr="sampled")):
        for what in _audit_faults(audit):
            yield Problem(number=audit.number, position=0, what=f"audit: {what}")


def _audit_faults(audit):
    numbers = [event.subject.number for event in audit.sampled]
    if len(numbers) != audit.size:
        yield f"{audit.size} were drawn, {len(numbers)} are written down"
    if not audit.numbers_sha256:
        return
    again = audits.drawn_again(audit)
    if again is None:
        yield "the list that it was drawn from is missing or is another one"
    elif again != numbers:
        yield "drawn again from its list and seed, it gives another sample"


def _drawn_then(event):
    # Earlier samples were drawn a moment before their events were written.
    return event.audit.by_id == event.by_id and abs(event.at - event.audit.drawn_at) < _A_MOMENT


def _events():
    return (
        Event.objects.order_by("position")
        .defer("record")
        .annotate(record_text=Cast("record", TextField()))
        .select_related("certificate", "imported", "audit", "answers")
        .iterator()
    )


def _faults(event, previous):
    expected = previous.position + 1 if previous else 1
    if event.position != expected:
        yield f"event {expected} is missing before it"
    if event.previous_seal != (previous.seal if previous else FIRST_PREDECESSOR):
        yield "it was not sealed behind the event before it"
    try:
        record = json.loads(event.record_text)
        holds = seal_of(record, event.previous_seal) == event.seal
        sealed = {name: record[name] for name in _columns(event) if name != "sent_as"}
        sealed["by"] = record["by"] and record["by"]["account"]
        # Events from before forms carried a mark have none.
        sealed["sent_as"] = record.get("sent_as")
    except (ValueError, NotCanonical, KeyError, TypeError):
        yield "the record was changed: it is not one that was ever sealed"
        return
    if not holds:
        yield "the record or its seal was changed after it was sealed"
    for name, shown in _columns(event).items():
        if shown != sealed[name]:
            yield f"the register shows {name} as “{shown}”, the record says “{sealed[name]}”"
    if event.kind == SAMPLED and event.audit and record.get("drawn") != event.audit.described:
        yield f"how {event.audit} was drawn is not what was written down then"
    if event.kind == SAMPLED and event.audit and not _drawn_then(event):
        yield f"who drew {event.audit}, or when, is not what was written down then"


def _columns(event):
    return {
        "position": event.position,
        "kind": event.kind,
        "about": event_chain.named(event.subject),
        "by": event.by_id,
        "at": event.at.isoformat(),
        "audit": event.audit and event.audit.number,
        "answers": event.answers and event.answers.position,
        "sent_as": str(event.sent_as) if event.sent_as else None,
    }
