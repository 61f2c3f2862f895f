"""Checking what was imported: each line is sealed by the event of its import, from then on."""

from django.db.models import Prefetch

from certificates import papers, terms
from certificates.canonical import NotCanonical, canonical
from certificates.chain import Problem
from certificates.models import Certificate, Event, ImportedCertificate
from certificates.models.event import IMPORTED
from certificates.seal import sha256_of


def check_imports(*, with_files=True):
    """Every Problem of the imported certificates."""
    told = Prefetch("events", queryset=Event.objects.filter(kind=IMPORTED), to_attr="told")
    for one in ImportedCertificate.objects.order_by("pk").prefetch_related(told).iterator(chunk_size=200):
        for what in _faults(one, with_files):
            yield Problem(number=one.number, position=0, what=f"imported: {what}")
    yield from _doubles()


def _doubles():
    """Two certificates of one number, however it is spelled: nobody could tell which of them is meant."""
    borne = {}
    for model in (Certificate, ImportedCertificate):
        for number in model.objects.order_by("pk").values_list("number", flat=True).iterator():
            if first := borne.setdefault(terms.compact(number), None):
                yield Problem(number=number, position=0, what=f"double: {first} bears the same number")
            borne[terms.compact(number)] = first or number


def _faults(one, with_files):
    try:
        digest = sha256_of(canonical(one.record))
    except NotCanonical:
        digest = None
    if [event.record.get("record_sha256") for event in one.told] != [digest]:
        yield "it is not as it was when it was imported"
    beside = {"number": one.number, "issued_on": one.issued_on.isoformat(), "pdf_sha256": one.pdf_sha256}
    for name, shown in beside.items():
        if not isinstance(one.record, dict) or one.record.get(name) != shown:
            yield f"the register shows {name} as “{shown}”, the record says otherwise"
    by = [event.by_id for event in one.told]
    at = [event.at for event in one.told]
    if by != [one.imported_by_id] or at != [one.imported_at]:
        yield "who imported it, or when, is not what was written down then"
    if with_files and (fault := papers.imported_fault(one)):
        yield fault
