"""What certificates add to the keeping of files: the days that years count from, and the contact of a new owner.

Sealed records and their papers are kept for good: a chain with holes proves nothing.
"""

from certificates import event_chain
from certificates.models import Certificate, Event, ImportedCertificate, NewOwnerContact
from certificates.models.event import ERASED, TRANSFERRED
from jobs.models import OutboxMessage
from jobs.retention import kinds, rule
from jobs.retention.kinds import Kind, Part, Since, delete, empty_letters

FOR_GOOD = "certificates and reports with their seals, signatures and events"
ISSUED, HANDED_ON = "its last certificate was issued", "a change of ownership was noted"
CONTACT = "telephone and e-mail of a new owner"


def _letters(imported):
    """What went to the new owner of a certificate from before this system: no job has these letters."""
    addresses = NewOwnerContact.objects.filter(event__imported=imported).exclude(email="").values("email")
    return OutboxMessage.objects.filter(job=None, kind="certificate", to__in=addresses)


OF_JOB = {
    "sinces": [
        Since(what=ISSUED, rows=lambda job: Certificate.objects.filter(job=job), day="issued_on"),
        Since(
            what=HANDED_ON,
            rows=lambda job: Event.objects.filter(certificate__job=job, kind=TRANSFERRED),
            day="at__date",
        ),
    ],
    "parts": [
        Part(what=CONTACT, rows=lambda job: NewOwnerContact.objects.filter(event__certificate__job=job), erase=delete),
    ],
}

IMPORTED = Kind(
    key="imported",
    files=lambda: ImportedCertificate.objects.select_related("line").order_by("issued_on", "pk"),
    vehicle=lambda imported: f"{imported.line.vehicle} {imported.line.plate}",
    owner=lambda imported: imported.line.owner,
    # No job has a trail of it: what became of it stands in its events.
    note=lambda imported, by, gone: event_chain.write(ERASED, imported, by=by, gone=gone),
    sinces=[
        Since(
            what="it was issued", rows=lambda imported: ImportedCertificate.objects.filter(pk=imported), day="issued_on"
        ),
        Since(
            what=HANDED_ON,
            rows=lambda imported: Event.objects.filter(imported=imported, kind=TRANSFERRED),
            day="at__date",
        ),
    ],
    # The letters first: they are found by the address.
    parts=[
        Part(what="addresses and texts of letters", rows=_letters, erase=empty_letters),
        Part(
            what=CONTACT,
            rows=lambda imported: NewOwnerContact.objects.filter(event__imported=imported),
            erase=delete,
        ),
    ],
)


def kept(subject):
    """How long what belongs to a certificate is kept, in a sentence."""
    return kept_of([subject])[subject]


def kept_of(subjects):
    """The same for many at once, sealed here or imported."""
    sealed = {one: one.job_id for one in subjects if isinstance(one, Certificate)}
    imported = {one: one.pk for one in subjects if one not in sealed}
    of_jobs = rule.in_words(kinds.get("job"), set(sealed.values())) if sealed else {}
    of_imported = rule.in_words(IMPORTED, set(imported.values())) if imported else {}
    return {one: of_jobs[key] for one, key in sealed.items()} | {one: of_imported[key] for one, key in imported.items()}
