from django.db import models


class Visits(models.Model):
    """How often somebody asked in one minute. Who it was is kept only as a keyed hash, and not for long."""

    visitor = models.CharField(max_length=64)
    minute = models.PositiveBigIntegerField()
    count = models.PositiveIntegerField(default=0)

    class Meta:
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["minute", "visitor"], name="one_count_a_minute")]

    def __str__(self):
        return f"{self.count} in minute {self.minute}"
