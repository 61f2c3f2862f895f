"""Writing into the audit trail. Called inside the transaction of the act that it records."""

from jobs import lines
from jobs.models import AuditEntry


def record(job, by, what, **details):
    """One entry: what was done to the file of the job, by whom, with what mattered about it."""
    lines.touched(job)
    return AuditEntry.objects.create(job=job, by=by, what=what, details=details)
