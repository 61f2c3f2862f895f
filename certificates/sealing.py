"""Numbering, sealing, signing and storing one certificate, inside the transaction of whoever calls."""

import secrets

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from certificates import authority, lines, numbering, pdf, trail
from certificates.assembly import Place
from certificates.canonical import canonical
from certificates.chain import ISSUED, POSITIONS, papers_of, trail_details
from certificates.checking import new_code
from certificates.faults import own_faults
from certificates.models import Certificate
from certificates.seal import FIRST_PREDECESSOR, seal_over, sha256_of
from certificates.signing import pades
from jobs.audit import record as write_down
from jobs.models import Counter
from jobs.refused import Refused


def seal(*, job, by, compose, pictures, signer, stored, replaces=None):
    """The certificate of the record that `compose(place)` gives. Names of stored files go into ``stored``."""
    position = Counter.next(POSITIONS)
    previous = Certificate.objects.order_by("-position").first()
    issued_at = timezone.now().replace(microsecond=0)
    issued_on = timezone.localdate(issued_at)
    if signer:
        pades.check_term(signer, issued_at)
    authority_number = authority.required(by, job, on=issued_on)
    number = numbering.next_number(authority_number, issued_on.year)
    place = Place(
        by=by,
        authority_number=authority_number,
        issued_at=issued_at,
        issued_on=issued_on,
        number=number,
        position=position,
        predecessor=papers_of(previous),
        check_code=new_code(),
        signing_key=pades.described(signer),
        replaces=replaces and replaces.number,
    )
    record = {**compose(place), "trail": trail.sealed(job)}
    before = previous.seal if previous else FIRST_PREDECESSOR
    written = canonical(record)
    sealed = {"previous_seal": before, "seal": seal_over(written, before)}
    papers = _papers(record, sealed, written, pictures, signer)
    certificate = Certificate.objects.create(
        number=number,
        position=position,
        job=job,
        replaces=replaces,
        check_code=place.check_code,
        record=record,
        **sealed,
        **{f"{kind}_pdf": _store(number, kind, content, stored) for kind, content in papers.items()},
        **{f"{kind}_sha256": sha256_of(content) for kind, content in papers.items()},
        plate=record["vehicle"]["plate"],
        vin=record["vehicle"]["vin"],
        owner_name=record["owner"]["name"],
        issued_on=issued_on,
        issued_by=by,
        issued_at=issued_at,
    )
    return _read_back(certificate, by)


def _papers(record, sealed, written, pictures, signer):
    papers = {
        "certificate": pdf.certificate(record, **sealed, data=written),
        "report": pdf.report(record, **sealed, data=written, photos=pictures),
    }
    if signer is None:
        return papers
    return {kind: pades.sign(content, signer=signer, record=record) for kind, content in papers.items()}


def _store(number, kind, content, stored):
    name = default_storage.save(f"certificates/{number}-{kind}-{secrets.token_hex(16)}.pdf", ContentFile(content))
    stored.append(name)
    return name


def _read_back(certificate, by):
    # What the database made of the record must still carry the seal in ten years.
    certificate = Certificate.objects.select_related("job").get(pk=certificate.pk)
    if faults := own_faults(certificate, certificate.record):
        raise Refused(f"The database does not give the record back as sealed: {faults[0]}.")
    write_down(certificate.job, by, ISSUED, **trail_details(certificate))
    lines.add(certificate)
    return certificate
