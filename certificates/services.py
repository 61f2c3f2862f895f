"""Issuing the certificate of a job."""

from contextlib import contextmanager

from django.core.files.storage import default_storage
from django.db import transaction

from certificates import photos
from certificates.assembly import record_of
from certificates.gaps import STEP_KEY, missing
from certificates.models import Certificate
from certificates.sealing import seal
from certificates.signing import keys
from jobs import stages
from jobs.models import Job
from jobs.reading import one_reading
from jobs.refused import Refused


def standing(job):
    """The certificate of the job that no other replaces, or None."""
    return Certificate.objects.filter(job_id=job.pk, replaced_by=None).first()


def issue(*, job, by, secret=""):
    """Number, seal, sign and file the certificate of a job, and close the job. Issuing twice issues once.

    ``secret`` unlocks the signatory's key, where there is one. Raises Refused with every reason.
    Either everything is stored or nothing: numbers have no gaps.
    """
    if issued := standing(job):
        return issued
    with keys.unlock(by, secret) as signer:
        # Before any lock is taken: unpacking forty photos is the slow part.
        try:
            pictures = photos.prepared(job)
        except Refused as wrong:
            raise Refused(*(_gaps(job, by) or wrong.reasons)) from wrong
        with nothing_left_behind() as stored, transaction.atomic():
            return _issue(job, by, pictures, signer, stored)


@contextmanager
def nothing_left_behind():
    """Files stored on the way to an act that failed are removed again."""
    stored = []
    try:
        yield stored
    except BaseException:
        for name in stored:
            default_storage.delete(name)
        raise


def _gaps(job, by):
    return [blocker.text for blocker in missing(job, by=by)]


def _issue(job, by, pictures, signer, stored):
    # Locks in one order everywhere, the job and then the counters: nobody waits in a circle.
    job = Job.objects.select_for_update().get(pk=job.pk)
    if issued := standing(job):
        return issued
    # Under the lock nothing that these read is written: the record is made of what the gaps were looked for in.
    with one_reading():
        if gaps := _gaps(job, by):
            raise Refused(*gaps)
        certificate = seal(
            job=job,
            by=by,
            compose=lambda place: record_of(job, place),
            pictures=pictures,
            signer=signer,
            stored=stored,
        )
    stages.move_on(certificate.job, by=by, expected=STEP_KEY)
    return certificate
