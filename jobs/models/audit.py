from django.db import models

from jobs.append_only import AppendOnly

from .job import Job
from .people import User


class AuditEntry(AppendOnly):
    """What was done to the file of a job, when, by whom and why. Written once."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="audit_entries")
    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    what = models.CharField(max_length=200)
    details = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ("view",)
        permissions = [("view_audit", "Can read the audit trail")]

    def __str__(self):
        return f"{self.job_id}: {self.what}"
