from django.conf import settings
from django.db import models

from jobs.models import Job

PARTS = [
    ("inspected", "Inspection and what was found"),
    ("conditions", "Conditions of this certificate"),
    ("remarks", "Remarks of the signatory"),
]


class Words(models.Model):
    """What the signatory writes into the report in their own words; everything else comes from the file."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="certificate_words")
    part = models.CharField(max_length=12, choices=PARTS)
    text = models.TextField(max_length=4000)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["job", "part"], name="one_text_per_part")]

    def __str__(self):
        return f"{self.job_id} {self.part}"
