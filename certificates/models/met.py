from django.db import models

from jobs.models import Job
from testing.testday.written import Written


class MetBy(Written):
    """The engineer's word on how one requirement of the signed triage is met. The latest of a code counts.

    A row that says nothing takes back what was said before: the line is open again.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="met_by")
    code = models.CharField(max_length=30)
    # Kind, caption and hash of each file as it was when the engineer leaned on it.
    documents = models.JSONField(default=list)
    measured = models.CharField(max_length=200, blank=True)
    words = models.CharField(max_length=1000, blank=True)

    def __str__(self):
        return f"{self.code}: {'; '.join(self.said) or 'open again'}"

    @property
    def said(self):
        """What was said, part by part."""
        captions = [document["caption"] for document in self.documents]
        return [part for part in (self.measured, self.words, *captions) if part]
