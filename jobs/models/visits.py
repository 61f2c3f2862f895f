from django.db import models


class Visits(models.Model):
    """How often somebody tried something in one stretch of time. Who is kept only as a keyed hash, and not for long."""

    visitor = models.CharField(max_length=64)
    until = models.PositiveBigIntegerField()
    count = models.PositiveIntegerField(default=0)

    class Meta:
        default_permissions = ()
        # The time first: what is over is found and thrown away by it.
        constraints = [models.UniqueConstraint(fields=["until", "visitor"], name="one_count_a_stretch")]

    def __str__(self):
        return f"{self.count} until {self.until}"
