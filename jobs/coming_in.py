"""When the vehicle comes in and whose rules apply: both are said at the counter, and both turn out otherwise."""

from django.db import transaction

from jobs import loaded
from jobs.audit import record
from jobs.models import Job
from jobs.services import FileClosed
from vehicles.models import Vehicle

_fixed = []


def register(fixed):
    """`fixed(job)` yields sentences why the rules of the job cannot be changed any more, and what to do."""
    _fixed.append(fixed)


def why_fixed(job):
    return [text for source in _fixed for text in source(job)]


@transaction.atomic
def save(*, by, job, form):
    """Store what was changed; the trail keeps what it was."""
    row = Job.objects.select_for_update().get(pk=job.pk)
    if row.done:
        raise FileClosed(row)
    was = {name: getattr(row, name) for name in form.changed_data if name in form.fields}
    loaded.save(form, row)
    if "jurisdiction" in was:
        # The plate was written down with it at the counter; one that says something else stays.
        Vehicle.objects.filter(pk=row.vehicle_id, plate_state=was["jurisdiction"]).update(plate_state=row.jurisdiction)
    changed = {name: [_said(before), _said(getattr(row, name))] for name, before in was.items()}
    record(row, by, "Coming in and registration saved", changed=changed)
    return row


def _said(value):
    return value.isoformat() if hasattr(value, "isoformat") else value
