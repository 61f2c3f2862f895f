"""Checking what happened to certificates after they were issued."""

import json

from django.db.models import TextField
from django.db.models.functions import Cast

from certificates import event_chain
from certificates.canonical import NotCanonical
from certificates.chain import Problem
from certificates.models import Event
from certificates.models.event import SAMPLED
from certificates.seal import FIRST_PREDECESSOR, seal_of
from jobs.models import Counter


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
        sealed = {**{name: record[name] for name in _columns(event)}, "by": record["by"] and record["by"]["account"]}
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


def _columns(event):
    return {
        "position": event.position,
        "kind": event.kind,
        "about": event_chain.named(event.subject),
        "by": event.by_id,
        "at": event.at.isoformat(),
        "audit": event.audit and event.audit.number,
        "answers": event.answers and event.answers.position,
    }
