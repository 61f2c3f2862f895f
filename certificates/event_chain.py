"""What happens to a certificate after it was issued: written once, each event sealed behind the one before."""

from django.db import transaction
from django.utils import timezone

from certificates.models import Certificate, Event
from certificates.moments import when
from certificates.seal import FIRST_PREDECESSOR, seal_of
from jobs.models import Counter
from testing.triage.canonical import plain

POSITIONS = "register event position"
SCHEMA = "event 1"


def named(subject):
    """The certificate that an event speaks of, as its record names it."""
    if isinstance(subject, Certificate):
        return {"number": subject.number, "seal": subject.seal}
    return {"number": subject.number, "pdf_sha256": subject.pdf_sha256}


@transaction.atomic
def write(kind, subject, *, by, audit=None, answers=None, at=None, sent_as=None, **details):
    """Add an event about a certificate.

    The counter's row stays locked until the act ends, so events queue behind one another. An act that
    depends on how the certificate stands locks that first (`locking.locked`), and the counter after it.
    """
    position = Counter.next(POSITIONS)
    previous = Event.objects.order_by("-position").first()
    at = (at or timezone.now()).replace(microsecond=0)
    record = plain(
        {
            "schema": SCHEMA,
            "position": position,
            "kind": kind,
            "about": named(subject),
            "by": by and {"account": by.pk, "name": by.full_name},
            "at": when(at),
            "audit": audit and audit.number,
            "answers": answers and answers.position,
            **({"sent_as": str(sent_as)} if sent_as else {}),
            **details,
        }
    )
    before = previous.seal if previous else FIRST_PREDECESSOR
    return Event.objects.create(
        position=position,
        kind=kind,
        **({"certificate": subject} if isinstance(subject, Certificate) else {"imported": subject}),
        audit=audit,
        answers=answers,
        record=record,
        previous_seal=before,
        seal=seal_of(record, before),
        by=by,
        at=at,
        sent_as=sent_as,
    )


def sent_already(mark):
    """The event that this form made when it was sent before, or None. Ask with the certificate locked."""
    return Event.objects.filter(sent_as=mark).first() if mark else None
