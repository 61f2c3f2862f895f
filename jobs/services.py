"""What the front desk does to the file of a job. Each act is one transaction and one audit entry."""

import hashlib

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from jobs import lines, loaded, steps
from jobs.audit import record
from jobs.models import BookLine, Counter, Ending, Job, Owner, OwnerLink, Waiting
from vehicles.calculations import ranges
from vehicles.measured import SEAT_ROWS
from vehicles.models import Document, Vehicle
from vehicles.uploads import made_safe, plain_name


class FileClosed(Exception):
    """The file is closed, with a sealed certificate or without one: its facts no longer change."""

    def __init__(self, job):
        self.job = job
        without = Ending.objects.filter(job=job).exists()
        why = "the engineer can open it again" if without else "what a certificate rests on is not changed any more"
        super().__init__(f"{job.number} is closed; {why}.")


def _open(job):
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise FileClosed(job)
    return job


# What a vehicle is built and rated as stays when it is brought again; what is weighed and measured
# of the day is asked for anew, and modifications are written down anew.
COPIED = (
    *("make", "model", "built_year", "vin", "chassis_number", "plate", "plate_state"),
    *("adr_category", "gvm_kg", "seats"),
    *("front_axle_rating_kg", "rear_axle_rating_kg", "wheelbase_mm", "fuel", "fuel_tank_l", "tyre", "esc"),
    *ranges.PLACES,
    *SEAT_ROWS,
)


@transaction.atomic
def open_job(*, by, jurisdiction, owner, vehicle, known_owner=None, copied_from=None, expected_at=None):
    """Open a file: a new number, the owner, the vehicle as far as it is known.

    An owner who was here before stays the same owner, with the telephone and address of today;
    a vehicle that was here before is presented anew, with what it is built and rated as.
    """
    year = timezone.localdate().year
    if copied_from:
        vehicle = {name: getattr(copied_from, name) for name in COPIED} | vehicle
    job = Job.objects.create(
        number=f"J{year}-{Counter.next(f'job {year}'):04d}",
        jurisdiction=jurisdiction,
        owner=_same_owner(known_owner, owner) if known_owner else Owner.objects.create(**owner),
        vehicle=Vehicle.objects.create(**vehicle),
        expected_at=expected_at,
    )
    # Every job has its line in the book and its owner's link from the first moment.
    BookLine.objects.create(job=job)
    OwnerLink.objects.create(job=job)
    details = {"same_owner": bool(known_owner), "copied_from": copied_from and copied_from.job.number}
    record(job, by, "Job opened", vehicle=str(job.vehicle), owner=job.owner.name, **details)
    return job


def _same_owner(known, today):
    owner = Owner.objects.select_for_update().get(pk=known.pk)
    for name, value in today.items():
        setattr(owner, name, value)
    owner.save()
    lines.touched_all(owner.jobs.exclude(stage=steps.DONE))
    return owner


def open_jobs_of(*, vin, plate):
    """Open jobs on a vehicle with that VIN or that plate: probably the one that is just booked in."""
    same = Q()
    if vin:
        same |= Q(vehicle__vin=vin)
    if plate:
        same |= Q(vehicle__plate=plate)
    return Job.objects.with_people().exclude(stage=steps.DONE).filter(same) if same else Job.objects.none()


@transaction.atomic
def save_owner(*, by, job, form):
    """Store the owner's details; the trail keeps what each changed one was before.

    Of telephone and e-mail it keeps only that they changed: they are erased at their time, the trail never is.
    """
    job = _open(job)
    before = Owner.objects.select_for_update().get(pk=job.owner_id)
    changed = {name: [getattr(before, name), form.cleaned_data[name]] for name in form.changed_data}
    changed |= {name: ["not kept here"] * 2 for name in ("phone", "email") if name in changed}
    owner = loaded.save(form, before)
    lines.touched_all(owner.jobs.exclude(stage=steps.DONE))
    record(job, by, "Owner's details saved", changed=changed)
    return owner


@transaction.atomic
def wait_for(*, by, job, who, what, until):
    """Say whom the job waits for and until when; the job book puts it there."""
    job = _open(job)
    Waiting.objects.update_or_create(job=job, defaults={"who": who, "what": what, "until": until, "by": by})
    record(job, by, f"Waits for {who}: {what}", until=str(until))


@transaction.atomic
def wait_no_more(*, by, job):
    job = _open(job)
    for waiting in Waiting.objects.filter(job=job):
        record(job, by, f"Waits no more for {waiting.who}: {waiting.what}")
        waiting.delete()


@transaction.atomic
def save_vehicle(*, by, job, form):
    """Store the facts of the vehicle that were changed; the trail keeps what each was before."""
    job = _open(job)
    vehicle = Vehicle.objects.select_for_update().get(pk=job.vehicle_id)
    before = {name: _plain(getattr(vehicle, name)) for name in form.changed_data if hasattr(vehicle, name)}
    loaded.save(form, vehicle)
    record(
        job,
        by,
        "Vehicle facts saved",
        changed={name: [was, _plain(getattr(vehicle, name))] for name, was in before.items()},
    )
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
def change_modification(*, by, job, modification, before):
    """Write a modification down anew; the trail keeps what stood there."""
    job = _open(job)
    modification.save()
    record(job, by, f"Modification changed: {modification}", was=before, values=modification.values)
    return modification


@transaction.atomic
def remove_modification(*, by, job, modification):
    job = _open(job)
    record(job, by, f"Modification removed: {modification}", values=modification.values)
    modification.delete()


@transaction.atomic
def add_document(*, by, job, upload, kind, caption, content_type):
    """Store a photo or a paper under a random name, with the hash of its bytes.

    A picture is stored redrawn: without the place it was taken at, the camera and anything hidden behind it.
    """
    job = _open(job)
    name = plain_name(upload.name)
    stored = made_safe(upload, content_type)
    digest = hashlib.sha256()
    for chunk in stored.chunks():
        digest.update(chunk)
    document = Document.objects.create(
        vehicle=job.vehicle,
        kind=kind,
        caption=caption,
        file=stored,
        original_name=name,
        content_type=content_type,
        sha256=digest.hexdigest(),
    )
    record(job, by, f"{document.get_kind_display()} added: {caption}", sha256=document.sha256)
    return document


@transaction.atomic
def set_aside(*, by, job, document, reason):
    """Take a wrong photo or paper out of report and owner's page; the file keeps it. Gives False if it was already."""
    job = _open(job)
    document = job.vehicle.documents.select_for_update().get(pk=document.pk)
    if document.set_aside_at:
        return False
    document.set_aside_at, document.set_aside_because = timezone.now(), reason
    document.set_aside_by = by.full_name[:160]
    document.save(update_fields=["set_aside_at", "set_aside_because", "set_aside_by"])
    record(
        job,
        by,
        f"{document.get_kind_display()} set aside: {document.caption}"[:200],
        why=reason,
        sha256=document.sha256,
    )
    return True


@transaction.atomic
def bring_back(*, by, job, document):
    """A photo or paper that was set aside speaks for the vehicle again. Gives False if it does already."""
    job = _open(job)
    document = job.vehicle.documents.select_for_update().get(pk=document.pk)
    if not document.set_aside_at:
        return False
    was = {"set_aside_by": document.set_aside_by, "why": document.set_aside_because}
    document.set_aside_at, document.set_aside_because, document.set_aside_by = None, "", ""
    document.save(update_fields=["set_aside_at", "set_aside_because", "set_aside_by"])
    what = f"{document.get_kind_display()} brought back: {document.caption}"[:200]
    record(job, by, what, **was, sha256=document.sha256)
    return True


@transaction.atomic
def add_documents(*, by, job, uploads, kind, caption):
    """Several files under one caption, numbered; ``uploads`` are pairs of a file and its content type."""
    for number, (upload, content_type) in enumerate(uploads, start=1):
        numbered = f"{caption[:110]} ({number})" if len(uploads) > 1 else caption
        add_document(by=by, job=job, upload=upload, kind=kind, caption=numbered, content_type=content_type)
