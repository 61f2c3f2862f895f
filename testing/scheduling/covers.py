"""Insurance cover of a job: recorded, and taken back."""

from django.db import transaction

from jobs import services as desk
from jobs.audit import record
from jobs.refused import Refused
from testing.models import InsuranceCover
from testing.scheduling.locking import locked


@transaction.atomic
def add_cover(*, by, job, cover, upload=None, content_type=""):
    """Record a cover; its document goes to the papers of the job."""
    cover.job = locked(job)
    if upload:
        cover.document = desk.add_document(
            by=by,
            job=cover.job,
            upload=upload,
            kind="paper",
            caption=f"Insurance cover: {cover.reference}"[:120],
            content_type=content_type,
        )
    cover.save()
    record(cover.job, by, f"Cover recorded: {cover}", sum_aud=str(cover.sum_aud), valid_to=str(cover.valid_to))
    return cover


@transaction.atomic
def remove_cover(*, by, job, pk):
    """Take back a cover that was recorded wrongly; the audit trail keeps what it was."""
    job = locked(job)
    cover = InsuranceCover.objects.filter(job=job, pk=pk).first()
    if cover is None:
        raise Refused("That cover is not recorded any more.")
    record(job, by, f"Cover removed: {cover}", sum_aud=str(cover.sum_aud), valid_to=str(cover.valid_to))
    cover.delete()
