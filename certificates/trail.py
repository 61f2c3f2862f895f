"""The audit trail of a certificate's job, held against what was sealed.

A certificate seals the trail as it stood when it was issued. What happened to it afterwards stands
twice, in the trail and in the chain of events; the two have to tell the same.
"""

from datetime import timedelta

from certificates.canonical import NotCanonical, canonical
from certificates.models.event import SUPERSEDED, TRANSFERRED, WITHDRAWN
from certificates.seal import sha256_of
from testing.triage.canonical import plain

WORDS = {
    SUPERSEDED: "Certificate superseded",
    WITHDRAWN: "Certificate withdrawn",
    TRANSFERRED: "Change of ownership noted",
}
# Events are kept to the second, and written just before the entry.
_A_MOMENT = timedelta(minutes=1)


def sealed(job):
    """What a record says of the trail: which entries there were, and one hash over all they say."""
    entries = list(job.audit_entries.order_by("pk"))
    return {"entries": [entry.pk for entry in entries], "sha256": _digest(entries)}


def _digest(entries):
    return sha256_of(
        canonical([[entry.at.isoformat(), entry.by_id, entry.what, plain(entry.details)] for entry in entries])
    )


def faults(certificate, record, entries):
    """Everything that trail, record and events tell differently; ``entries`` is the whole trail of the job."""
    yield from _as_sealed(record, entries)
    for kind, what in WORDS.items():
        told = [entry for entry in entries if entry.what == f"{what}: {certificate.number}"]
        events = sorted((one for one in certificate.events.all() if one.kind == kind), key=lambda one: one.position)
        if len(told) != len(events):
            yield f"the audit trail tells of “{what}” {len(told)} times, the events {len(events)} times"
        elif not all(map(_same, told, events)):
            yield f"“{what}” is not told in the audit trail as it was sealed in its event"


def _as_sealed(record, entries):
    # Certificates from before the trail was sealed have nothing to compare.
    if not isinstance(record, dict) or not isinstance(was := record.get("trail"), dict):
        return
    there = {entry.pk: entry for entry in entries}
    try:
        holds = _digest([there[pk] for pk in was["entries"]]) == was["sha256"]
    except (KeyError, TypeError, NotCanonical):
        holds = False
    if not holds:
        yield "the audit trail of the job is not the one that was sealed: an entry was changed or removed"


def _same(entry, event):
    details = {
        "reason": event.record.get("reason"),
        "successor": (event.record.get("successor") or {}).get("number"),
        "transferred_on": event.record.get("transferred_on"),
    }
    expected = {name: value for name, value in details.items() if value is not None}
    return entry.by_id == event.by_id and entry.details == expected and abs(entry.at - event.at) < _A_MOMENT
