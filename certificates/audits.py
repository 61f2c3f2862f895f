"""Audits: a sample drawn at random that anybody can draw again, findings, and what became of them.

The sample: each number is hashed behind the seed (SHA-256 of `SEED:NUMBER`); the smallest hashes
are drawn. Nobody can steer it after the seed is fixed, and the seed is drawn by the machine.
"""

import hashlib
import heapq
import secrets

from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone

from certificates import event_chain
from certificates.models import Audit, Event, RegisterLine
from certificates.models.event import FINDING, FOLLOW_UP, SAMPLED
from certificates.search import all_lines
from jobs.models import Counter

GRADES = [("minor", "minor"), ("major", "major"), ("critical", "critical: does it still stand?")]


class NothingToDraw(Exception):
    """No line of the register fits, so no sample can be drawn."""


def drawn(places_and_numbers, *, seed, size):
    """The places of the sample. A pure function: the same register and seed give the same sample."""
    return [place for _, place in heapq.nsmallest(size, _hashed(places_and_numbers, seed))]


def _hashed(places_and_numbers, seed):
    for place, number in places_and_numbers:
        yield hashlib.sha256(f"{seed}:{number}".encode()).hexdigest(), place


@transaction.atomic
def draw(*, by, criteria, size):
    """Draw a sample from the lines that fit, and write down for each that it was drawn."""
    seed, population = secrets.token_hex(16), 0

    def counted():
        nonlocal population
        for line in all_lines(criteria):
            population += 1
            yield line.place, line.number

    places = drawn(counted(), seed=seed, size=size)
    if not places:
        raise NothingToDraw("No certificate fits: there is nothing to draw a sample from.")
    year = timezone.localdate().year
    audit = Audit.objects.create(
        number=f"A{year}-{Counter.next(f'audit {year}'):03d}",
        criteria={name: str(value) for name, value in criteria.items() if value not in (None, "")},
        lines_up_to=RegisterLine.objects.order_by("-place").values_list("place", flat=True)[0],
        population=population,
        size=len(places),
        seed=seed,
        by=by,
    )
    lines = RegisterLine.objects.select_related("certificate", "imported").in_bulk(places)
    for place in places:
        line = lines[place]
        event_chain.write(SAMPLED, line.certificate or line.imported, by=by, audit=audit, drawn=audit.described)
    return audit


def find_fault(*, subject, by, text, grade, audit=None):
    """Record a finding. It stays open until a follow-up closes it."""
    return event_chain.write(FINDING, subject, by=by, audit=audit, text=text, grade=grade)


def follow_up(*, finding, by, text, closes):
    return event_chain.write(
        FOLLOW_UP, finding.subject, by=by, audit=finding.audit, answers=finding, text=text, closes=closes
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
