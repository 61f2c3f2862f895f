"""What everything that is written down on a test day carries: who wrote it, and when."""

from django.conf import settings
from django.db import models

from jobs.append_only import AppendOnly


class Written(AppendOnly):
    """Base of the tables of the day: written once, with name and time."""

    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        abstract = True
        ordering = ["pk"]
        default_permissions = ()

    @property
    def when(self):
        return self.at
