"""Photos of runs: recognised by their bytes, kept under a random name, handed out to readers of the sheet."""

import hashlib
import uuid

from django.db import transaction
from django.shortcuts import get_object_or_404

from jobs.audit import record
from jobs.refused import Refused
from jobs.views.handing_over import handed_over
from testing.testday.locking import locked
from testing.testday.models import RunPhoto
from vehicles import uploads

MOST = 6


@transaction.atomic
def add_all(*, run, by, chosen, marks=()):
    """Keep the photos; one sent twice is kept once."""
    if not chosen:
        return []
    day = locked(run.day)
    if day.booking.job.done:
        raise Refused("The file is closed: nothing is added to it any more.")
    return [_add(run, by, upload, mark) for upload, mark in zip(chosen, _marks(chosen, marks), strict=True)]


def _marks(chosen, marks):
    return [*marks, *(uuid.uuid4() for _ in range(len(chosen) - len(marks)))]


def _add(run, by, upload, mark):
    if before := RunPhoto.objects.filter(sent_as=mark).first():
        return before
    if run.photos.count() >= MOST:
        raise Refused(f"Run {run.number} has {MOST} photos; that is the most.")
    try:
        content_type = uploads.recognise(upload, photo=True)
    except uploads.Refused as refused:
        raise Refused(str(refused)) from refused
    safe = uploads.made_safe(upload, content_type)
    digest = hashlib.sha256()
    for chunk in safe.chunks():
        digest.update(chunk)
    photo = RunPhoto.objects.create(
        run=run, file=safe, content_type=content_type, sha256=digest.hexdigest(), sent_as=mark, by=by
    )
    record(run.day.booking.job, by, f"Photo of run {run.number} added", sha256=photo.sha256)
    return photo


def response(day, pk):
    photo = get_object_or_404(RunPhoto.objects.select_related("run"), pk=pk, run__day=day)
    return handed_over(photo.file, name=f"run-{photo.run.number}", content_type=photo.content_type)
