"""Checking the register: was anything changed, removed, inserted or put in another order?

The seals alone do not see the newest certificates being cut off, so the counters that numbered
them and the trail that recorded them are asked as well.
"""

import json
from dataclasses import dataclass

from django.db.models import Prefetch, TextField
from django.db.models.functions import Cast

from certificates import papers
from certificates.canonical import NotCanonical
from certificates.models import Certificate
from certificates.seal import FIRST_PREDECESSOR, seal_of
from jobs.models import AuditEntry, Counter

ISSUED = "Certificate issued"
POSITIONS = "certificate position"
_BATCH = 200


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One thing wrong: with which certificate, at which place of the register, and what."""

    number: str
    position: int
    what: str

    def __str__(self):
        return f"{self.number or 'no number'} at position {self.position}: {self.what}"


def columns(certificate):
    """What the columns beside the record repeat, in the record's own shape."""
    return {
        "number": certificate.number,
        "position": certificate.position,
        "job": certificate.job.number,
        "plate": certificate.plate,
        "vin": certificate.vin,
        "owner": certificate.owner_name,
        "issued_on": certificate.issued_on.isoformat(),
        "issued_at": certificate.issued_at.isoformat(),
        "signatory": certificate.issued_by_id,
    }


def sealed_columns(record):
    return {
        "number": record["number"],
        "position": record["position"],
        "job": record["job"]["number"],
        "plate": record["vehicle"]["plate"],
        "vin": record["vehicle"]["vin"],
        "owner": record["owner"]["name"],
        "issued_on": record["issued_on"],
        "issued_at": record["issued_at"],
        "signatory": record["signatory"]["account"],
    }


def own_faults(certificate, record):
    """What is wrong with one certificate by itself: its record, its seal, its columns."""
    try:
        holds = seal_of(record, certificate.previous_seal) == certificate.seal
        sealed = sealed_columns(record)
    except (NotCanonical, KeyError, TypeError):
        return ["the record was changed: it is not one that was ever sealed"]
    faults = [] if holds else ["the record or its seal was changed after it was sealed"]
    beside = columns(certificate)
    return faults + [
        f"the register shows {name} as “{beside[name]}”, the record says “{sealed[name]}”"
        for name in beside
        if beside[name] != sealed[name]
    ]


def verify_chain(*, with_files=True):
    """Every Problem of the register, in its order. Reads the whole register once, in batches."""
    previous = None
    for certificate in _register():
        yield from _faults(certificate, previous, with_files)
        previous = certificate
    yield from _cut_off(previous)


def _register():
    entries = AuditEntry.objects.filter(what=ISSUED)
    return (
        Certificate.objects.order_by("position")
        .defer("record")
        # As text: a record that is no longer JSON must be named, not stop the check.
        .annotate(record_text=Cast("record", TextField()))
        .select_related("job")
        .prefetch_related(Prefetch("job__audit_entries", queryset=entries, to_attr="issue_entries"))
        .iterator(chunk_size=_BATCH)
    )


def _faults(certificate, previous, with_files):
    try:
        record = json.loads(certificate.record_text)
    except ValueError:
        record = None
    found = [*_place(certificate, previous, record), *own_faults(certificate, record), *_trail(certificate)]
    if with_files:
        found += filter(None, (papers.fault(certificate, kind) for kind in papers.KINDS))
    for what in found:
        yield Problem(number=certificate.number, position=certificate.position, what=what)


def papers_of(certificate):
    """How a certificate's successor names it: the seal of the successor guards its two papers."""
    return certificate and {
        "number": certificate.number,
        "certificate_sha256": certificate.certificate_sha256,
        "report_sha256": certificate.report_sha256,
    }


def _place(certificate, previous, record):
    """Does it stand right behind the one before?"""
    expected = previous.position + 1 if previous else 1
    if certificate.position != expected:
        yield f"position {expected} is missing before it: a certificate was removed or moved"
    if certificate.previous_seal != (previous.seal if previous else FIRST_PREDECESSOR):
        yield f"it was not sealed behind {previous.number if previous else 'the beginning'}"
    if not isinstance(record, dict) or record.get("predecessor") != papers_of(previous):
        yield "what it says about its predecessor's papers does not match the register"


def _trail(certificate):
    """The trail kept the seal and both hashes when it was issued."""
    kept = [entry.details for entry in certificate.job.issue_entries]
    if kept != [trail_details(certificate)]:
        yield "the audit trail of the job tells another seal or other papers"


def trail_details(certificate):
    return {**papers_of(certificate), "seal": certificate.seal}


def _cut_off(last):
    issued = Counter.objects.filter(name=POSITIONS).values_list("last", flat=True).first() or 0
    position = last.position if last else 0
    if position != issued:
        what = f"{issued} certificates were issued, the register ends at {position}"
        yield Problem(number=last.number if last else "", position=position, what=what)
    for entry in AuditEntry.objects.filter(what=ISSUED, job__certificate=None).select_related("job").order_by("pk"):
        what = f"issued for {entry.job.number} according to its audit trail, and no longer in the register"
        yield Problem(number=str(entry.details.get("number", "")), position=0, what=what)
