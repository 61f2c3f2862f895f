"""Checking the register: was anything changed, removed, inserted or put in another order?

The seals alone do not see the newest certificates being cut off, so the counters that numbered
them and the trail that recorded them are asked as well.
"""

import json
from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Exists, F, OuterRef, Prefetch, TextField
from django.db.models.fields.json import KT
from django.db.models.functions import Cast

from certificates import evidence, numbering, papers, terms, trail
from certificates.faults import own_faults
from certificates.models import Certificate, ImportedCertificate
from certificates.seal import FIRST_PREDECESSOR
from jobs.models import AuditEntry, Counter

ISSUED = "Certificate issued"
POSITIONS = "certificate position"
_BATCH = 200
# Between the moment that is sealed and the entry in the trail lies the drawing of two papers.
_A_MOMENT = timedelta(minutes=15)


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One thing wrong: with which certificate, at which place of the register, and what."""

    number: str
    position: int
    what: str

    def __str__(self):
        return f"{self.number or 'no number'} at position {self.position}: {self.what}"


def papers_of(certificate):
    """How a certificate's successor names it: the seal of the successor guards its two papers."""
    return certificate and {
        "number": certificate.number,
        "certificate_sha256": certificate.certificate_sha256,
        "report_sha256": certificate.report_sha256,
    }


def trail_details(certificate):
    return {**papers_of(certificate), "seal": certificate.seal}


def check_certificates(*, with_files=True):
    """Every Problem of the certificates, in their order. Reads the whole register once, in batches."""
    previous, counts = None, {}
    passed_over = {terms.compact(number) for number in ImportedCertificate.objects.values_list("number", flat=True)}
    for certificate in _register():
        for what in [*_faults(certificate, previous, with_files), *_count(certificate.number, counts, passed_over)]:
            yield Problem(number=certificate.number, position=certificate.position, what=what)
        previous = certificate
    yield from _cut_off(previous, counts)


def _register():
    entries = AuditEntry.objects.order_by("pk")
    return (
        Certificate.objects.order_by("position")
        .defer("record")
        # As text: a record that is no longer JSON must be named, not stop the check.
        .annotate(record_text=Cast("record", TextField()))
        .select_related("job__vehicle", "replaces")
        .prefetch_related("events", Prefetch("job__audit_entries", queryset=entries, to_attr="trail"))
        .iterator(chunk_size=_BATCH)
    )


def _faults(certificate, previous, with_files):
    try:
        record = json.loads(certificate.record_text)
    except ValueError:
        record = None
    yield from _place(certificate, previous, record)
    yield from own_faults(certificate, record)
    yield from _trail(certificate)
    yield from trail.faults(certificate, record, certificate.job.trail)
    if with_files:
        yield from filter(None, (papers.fault(certificate, kind) for kind in papers.KINDS))
        yield from _evidence(certificate, record)


def _evidence(certificate, record):
    try:
        yield from evidence.faults(record, certificate.job)
    except (AttributeError, KeyError, TypeError):
        # A record that names its files in another way than it was sealed is named as such already.
        return


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
    kept = [entry for entry in certificate.job.trail if entry.what == ISSUED and _names(entry, certificate)]
    if [entry.details for entry in kept] != [trail_details(certificate)]:
        yield "the audit trail of the job tells another seal or other papers"
    elif kept[0].by_id != certificate.issued_by_id or abs(kept[0].at - certificate.issued_at) > _A_MOMENT:
        yield "the audit trail of the job says that somebody else issued it, or at another time"


def _names(entry, certificate):
    return isinstance(entry.details, dict) and entry.details.get("number") == certificate.number


def _count(number, counts, passed_over):
    """Numbers of a signatory and year run 1, 2, 3 in the order of the register."""
    if not (found := numbering.split(number)):
        yield "it bears no number of a signatory and year"
        return
    series, count = found
    expected = counts.get(series, 0) + 1
    while terms.compact(f"{series}-{expected:04d}") in passed_over and count > expected:
        expected += 1
    if count != expected:
        yield f"its number should be {expected} of {series}: a number is missing or was given twice"
    counts[series] = count


def _cut_off(last, counts):
    issued = Counter.objects.filter(name=POSITIONS).values_list("last", flat=True).first() or 0
    position = last.position if last else 0
    if position != issued:
        what = f"{issued} certificates were issued, the register ends at {position}"
        yield Problem(number=last.number if last else "", position=position, what=what)
    given = dict(Counter.objects.filter(name__startswith=numbering.counter("")).values_list("name", "last"))
    for series in {name.removeprefix(numbering.counter("")) for name in given if name != POSITIONS} | set(counts):
        last_given, last_found = given.get(numbering.counter(series), 0), counts.get(series, 0)
        if last_given != last_found:
            what = f"{last_given} numbers of {series} were given, the register ends at {last_found}"
            yield Problem(number="", position=position, what=what)
    yield from _removed()


def _removed():
    here = Certificate.objects.filter(job=OuterRef("job"), number=OuterRef("told"))
    gone = AuditEntry.objects.filter(what=ISSUED).annotate(told=KT("details__number")).filter(~Exists(here))
    for entry in gone.select_related("job").order_by("pk").annotate(job_number=F("job__number")):
        what = f"issued for {entry.job_number} according to its audit trail, and no longer in the register"
        yield Problem(number=str(entry.told or ""), position=0, what=what)
