"""Audits: a sample drawn at random that anybody can draw again, findings, and what became of them.

The sample: each number is hashed behind the seed (SHA-256 of `SEED:NUMBER`); the smallest hashes
are drawn. Nobody can steer it after the seed is fixed, and the seed is drawn by the machine. The list
of numbers it was drawn from is kept, and its hash is sealed with the sample: the register goes on
growing, in its past too where certificates from before it are brought in.
"""

import hashlib
import heapq
import secrets

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone

from certificates import chain, event_chain
from certificates.locking import locked
from certificates.models import Audit, Event, RegisterLine
from certificates.models.event import FINDING, FOLLOW_UP, SAMPLED
from certificates.seal import sha256_of
from certificates.search import all_lines
from certificates.services import nothing_left_behind
from jobs.models import Counter
from jobs.refused import Refused

GRADES = [("minor", "minor"), ("major", "major"), ("critical", "critical: does it still stand?")]


def drawn(places_and_numbers, *, seed, size):
    """The places of the sample. A pure function: the same register and seed give the same sample."""
    return [place for _, place in heapq.nsmallest(size, _hashed(places_and_numbers, seed))]


def _hashed(places_and_numbers, seed):
    for place, number in places_and_numbers:
        yield hashlib.sha256(f"{seed}:{number}".encode()).hexdigest(), place


def draw(*, by, criteria, size):
    """Draw a sample from the lines that fit, and write down for each that it was drawn."""
    with nothing_left_behind() as stored, transaction.atomic():
        return _draw(by, criteria, size, stored)


def _draw(by, criteria, size, stored):
    ends = _still()
    found = [(line.place, line.number) for line in all_lines(criteria)]
    seed = secrets.token_hex(16)
    if not (places := drawn(found, seed=seed, size=size)):
        raise Refused("No certificate fits: there is nothing to draw a sample from.")
    at = timezone.now().replace(microsecond=0)
    content = _as_list(number for _, number in found)
    stored.append(default_storage.save(f"audits/{secrets.token_hex(16)}.txt", ContentFile(content)))
    year = timezone.localdate().year
    audit = Audit.objects.create(
        number=f"A{year}-{Counter.next(f'audit {year}'):03d}",
        criteria={name: str(value) for name, value in criteria.items() if value not in (None, "")},
        lines_up_to=RegisterLine.objects.order_by("-place").values_list("place", flat=True)[0],
        population=len(found),
        size=len(places),
        seed=seed,
        numbers=stored[-1],
        numbers_sha256=sha256_of(content),
        **ends,
        by=by,
        drawn_at=at,
    )
    lines = RegisterLine.objects.select_related("certificate", "imported").in_bulk(places)
    for place in places:
        line = lines[place]
        event_chain.write(SAMPLED, line.certificate or line.imported, by=by, at=at, audit=audit, drawn=audit.described)
    return audit


def _still():
    """Where both chains end. Nothing is issued or brought in until the sample is drawn, so that the list is whole."""
    names = {"certificates_up_to": chain.POSITIONS, "events_up_to": event_chain.POSITIONS}
    # Certificates before events, as whoever corrects a certificate takes them.
    for name in names.values():
        Counter.objects.get_or_create(name=name)
    return {end: Counter.objects.select_for_update().get(name=name).last for end, name in names.items()}


def _as_list(numbers):
    return "".join(f"{number}\n" for number in numbers).encode()


def numbers_of(audit):
    """The list that the sample was drawn from, as bytes; None where it is not the one that was sealed."""
    try:
        with audit.numbers.open("rb") as file:
            content = file.read()
    except (OSError, ValueError):
        return None
    return content if sha256_of(content) == audit.numbers_sha256 else None


def drawn_again(audit):
    """The numbers of the sample, drawn anew from the kept list; None where the list is not there."""
    if (content := numbers_of(audit)) is None:
        return None
    numbers = content.decode().split("\n")[:-1]
    return drawn(zip(numbers, numbers, strict=True), seed=audit.seed, size=audit.size)


@transaction.atomic
def find_fault(*, subject, by, text, grade, audit=None, sent_as=None):
    """Record a finding. It stays open until a follow-up closes it."""
    (subject,) = locked(subject)
    return event_chain.sent_already(sent_as) or event_chain.write(
        FINDING, subject, by=by, audit=audit, sent_as=sent_as, text=text, grade=grade
    )


def may_settle(finding, person):
    """Whoever audits settles, and nobody a finding about what they signed themselves."""
    signed_by = getattr(finding.subject, "issued_by_id", None)
    return person.has_perm("certificates.audit") and signed_by != person.pk


@transaction.atomic
def follow_up(*, finding, by, text, closes=False, sent_as=None):
    """Say what became of a finding. Raises Refused where it is settled, or not this person's to settle."""
    (subject,) = locked(finding.subject)
    if there := event_chain.sent_already(sent_as):
        return there
    if Event.objects.filter(kind=FOLLOW_UP, answers=finding, record__closes=True).exists():
        raise Refused("The finding is settled already; a new one is recorded beside the certificate.")
    if closes and not may_settle(finding, by):
        raise Refused("A finding is settled by an auditor who did not sign the certificate.")
    return event_chain.write(
        FOLLOW_UP, subject, by=by, audit=finding.audit, answers=finding, sent_as=sent_as, text=text, closes=closes
    )


def open_findings():
    """Findings that no follow-up has closed, oldest first."""
    closing = Event.objects.filter(kind=FOLLOW_UP, answers=OuterRef("pk"), record__closes=True)
    return (
        Event.objects.filter(kind=FINDING)
        .filter(~Exists(closing))
        .select_related("certificate", "imported", "audit", "by")
        .order_by("position")
    )
