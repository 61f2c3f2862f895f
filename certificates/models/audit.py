from django.conf import settings
from django.db import models
from django.utils import timezone

from jobs.append_only import AppendOnly


class Audit(AppendOnly):
    """A sample drawn from the register. With the seed anybody can draw the same sample again."""

    number = models.CharField(max_length=12, unique=True)
    criteria = models.JSONField(default=dict)
    # The register goes on growing: only what stood in it when the sample was drawn could be drawn.
    lines_up_to = models.BigIntegerField()
    population = models.PositiveIntegerField()
    size = models.PositiveIntegerField()
    seed = models.CharField(max_length=32)
    # The numbers that could be drawn, one a line: the search would find others once more has come in.
    numbers = models.FileField(upload_to="audits/", max_length=200, blank=True)
    numbers_sha256 = models.CharField(max_length=64, blank=True)
    certificates_up_to = models.PositiveIntegerField(default=0)
    events_up_to = models.PositiveIntegerField(default=0)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    drawn_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self):
        return self.number

    @property
    def described(self):
        """How the sample was drawn; each event of a draw seals it."""
        names = ["criteria", "lines_up_to", "population", "size", "seed"]
        if self.numbers_sha256:
            # Samples from before this list was kept did not seal it.
            names += ["numbers_sha256", "certificates_up_to", "events_up_to"]
        return {name: getattr(self, name) for name in names}
