"""Issuing: the one act of this app that writes."""

import secrets

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone

from certificates import pdf, photos
from certificates.assembly import record_of
from certificates.chain import ISSUED, POSITIONS, own_faults, papers_of, trail_details
from certificates.gaps import STEP_KEY, missing
from certificates.models import Certificate
from certificates.seal import FIRST_PREDECESSOR, seal_of, sha256_of
from jobs import stages
from jobs.audit import record as write_down
from jobs.models import Counter, Job
from jobs.steps import Blocker


class NotIssued(Exception):
    """The certificate cannot be signed as things stand. Carries every reason as a Blocker."""

    def __init__(self, blockers):
        self.blockers = tuple(blockers)
        super().__init__(" ".join(blocker.text for blocker in self.blockers))


def issue(*, job, by):
    """Number, seal and file the certificate of a job, and close the job. Issuing twice issues once.

    Raises NotIssued with every reason. Either everything is stored or nothing: numbers have no gaps.
    """
    # Before any lock is taken: unpacking forty photos is the slow part.
    pictures = photos.prepared(job)
    stored = []
    try:
        with transaction.atomic():
            return _issue(job, by, pictures, stored)
    except BaseException:
        for name in stored:
            default_storage.delete(name)
        raise


def _issue(job, by, pictures, stored):
    # Locks in one order everywhere, the job and then the counters: nobody waits in a circle.
    job = Job.objects.select_for_update().get(pk=job.pk)
    if issued := Certificate.objects.filter(job=job).first():
        return issued
    if blockers := list(missing(job, by=by)):
        raise NotIssued(blockers)
    return _close(_sealed(job, by, pictures, stored), by)


def _sealed(job, by, pictures, stored):
    position = Counter.next(POSITIONS)
    previous = Certificate.objects.order_by("-position").first()
    issued_at = timezone.now().replace(microsecond=0)
    issued_on = timezone.localdate(issued_at)
    number = f"C{issued_on.year}-{Counter.next(f'certificate {issued_on.year}'):04d}"
    record = record_of(
        job,
        by=by,
        issued_at=issued_at,
        issued_on=issued_on,
        number=number,
        position=position,
        predecessor=papers_of(previous),
    )
    before = previous.seal if previous else FIRST_PREDECESSOR
    seal = seal_of(record, before)
    certificate_pdf = pdf.certificate(record, seal=seal, previous_seal=before)
    report_pdf = pdf.report(record, seal=seal, previous_seal=before, photos=pictures)
    return Certificate.objects.create(
        number=number,
        position=position,
        job=job,
        record=record,
        previous_seal=before,
        seal=seal,
        certificate_pdf=_store(number, "certificate", certificate_pdf, stored),
        certificate_sha256=sha256_of(certificate_pdf),
        report_pdf=_store(number, "report", report_pdf, stored),
        report_sha256=sha256_of(report_pdf),
        plate=job.vehicle.plate,
        vin=job.vehicle.vin,
        owner_name=job.owner.name,
        issued_on=issued_on,
        issued_by=by,
        issued_at=issued_at,
    )


def _store(number, kind, content, stored):
    name = default_storage.save(f"certificates/{number}-{kind}-{secrets.token_hex(16)}.pdf", ContentFile(content))
    stored.append(name)
    return name


def _close(certificate, by):
    # Read back: what the database made of the record must still carry the seal in ten years.
    certificate = Certificate.objects.select_related("job").get(pk=certificate.pk)
    if faults := own_faults(certificate, certificate.record):
        raise NotIssued([Blocker(text=f"The database does not give the record back as sealed: {faults[0]}.")])
    write_down(certificate.job, by, ISSUED, **trail_details(certificate))
    stages.move_on(certificate.job, by=by, expected=STEP_KEY)
    return certificate
