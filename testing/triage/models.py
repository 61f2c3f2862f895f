from django.conf import settings
from django.db import models

from jobs.append_only import AppendOnly
from jobs.models import Job
from testing.triage.rule_models import DraftEdition, EditionCheck, RuleEdit, RuleSetEdition
from testing.triage.words import NEEDS

__all__ = ["NEEDS", "DraftEdition", "EditionCheck", "Override", "RuleEdit", "RuleSetEdition", "SignedTriage"]


class Override(AppendOnly):
    """The engineer's word on one requirement, with the reason. The latest of a code counts."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="overrides")
    code = models.CharField(max_length=30)
    need = models.CharField(max_length=16, choices=NEEDS)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return f"{self.code}: {self.get_need_display()}"


class SignedTriage(AppendOnly):
    """A signed decision with all it rested on, readable in ten years without recomputing."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="signed_triages")
    editions = models.ManyToManyField(RuleSetEdition, related_name="+")
    inputs = models.JSONField()
    results = models.JSONField()
    overrides = models.JSONField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return f"{self.job_id} at {self.at:%Y-%m-%d %H:%M}"
