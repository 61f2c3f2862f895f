"""What the front desk does to the file of a job. Each act is one transaction and one audit entry."""

import hashlib

from django.db import transaction
from django.utils import timezone

from jobs.audit import record
from jobs.models import Counter, Job, Owner
from vehicles.models import Document, Vehicle


class FileClosed(Exception):
    """The certificate is sealed: the facts under it no longer change."""

    def __init__(self, job):
        self.job = job
        super().__init__(f"{job.number} is closed; what a certificate rests on is not changed any more.")


def _open(job):
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise FileClosed(job)
    return job


@transaction.atomic
def open_job(*, by, jurisdiction, owner, vehicle):
    """Open a file: a new number, the owner, the vehicle as far as it is known."""
    year = timezone.localdate().year
    job = Job.objects.create(
        number=f"J{year}-{Counter.next(f'job {year}'):04d}",
        jurisdiction=jurisdiction,
        owner=Owner.objects.create(**owner),
        vehicle=Vehicle.objects.create(**vehicle),
    )
    record(job, by, "Job opened", vehicle=str(job.vehicle), owner=job.owner.name)
    return job


@transaction.atomic
def save_vehicle(*, by, job, form):
    """Store the facts of the vehicle; the trail keeps what each changed fact was before."""
    job = _open(job)
    before = Vehicle.objects.get(pk=job.vehicle_id)
    vehicle = form.save()
    changed = {
        name: [_plain(getattr(before, name)), _plain(getattr(vehicle, name))]
        for name in form.changed_data
        if hasattr(before, name)
    }
    record(job, by, "Vehicle facts saved", changed=changed)
    return vehicle


def _plain(value):
    return value if value is None or isinstance(value, str | int | float | bool) else str(value)


@transaction.atomic
def add_modification(*, by, job, modification):
    job = _open(job)
    modification.vehicle = job.vehicle
    modification.save()
    record(job, by, f"Modification added: {modification}", values=modification.values)
    return modification


@transaction.atomic
def remove_modification(*, by, job, modification):
    job = _open(job)
    record(job, by, f"Modification removed: {modification}", values=modification.values)
    modification.delete()


@transaction.atomic
def add_document(*, by, job, upload, kind, caption, content_type):
    """Store a photo or a paper under a random name, with the hash of its bytes."""
    job = _open(job)
    digest = hashlib.sha256()
    for chunk in upload.chunks():
        digest.update(chunk)
    document = Document.objects.create(
        vehicle=job.vehicle,
        kind=kind,
        caption=caption,
        file=upload,
        original_name=upload.name[-120:],
        content_type=content_type,
        sha256=digest.hexdigest(),
    )
    record(job, by, f"{document.get_kind_display()} added: {caption}", sha256=document.sha256)
    return document
