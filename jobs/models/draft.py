from django.db import models

from .people import User


class Draft(models.Model):
    """What somebody typed into the form of a page and has not saved yet."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="drafts")
    path = models.CharField(max_length=200)
    values = models.JSONField(default=dict)
    kept_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "path"], name="one_draft_per_page")]

    def __str__(self):
        return self.path
