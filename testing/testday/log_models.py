"""Logs of instruments: the file as it came, the passes found in it, and how to read the next one."""

from django.conf import settings
from django.db import models
from django.utils.crypto import get_random_string

from jobs.append_only import AppendOnlyQuerySet
from testing.testday.sheet_models import Settlement
from testing.testday.written import Written


def _log_path(log, filename):
    return f"logs/{log.day_id}/{get_random_string(32)}"


class ColumnMapping(models.Model):
    """Which column of an instrument's CSV is what, and in which unit: remembered from the last import."""

    instrument = models.CharField(max_length=60, unique=True)
    columns = models.JSONField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return self.instrument


class LogFile(Written):
    """One file of a logger, as it came."""

    day = models.ForeignKey("testing.TestDay", on_delete=models.PROTECT, related_name="logs")
    instrument = models.CharField(max_length=60)
    original_name = models.CharField(max_length=120)
    kind = models.CharField(max_length=4, choices=[("csv", "CSV"), ("gpx", "GPX 1.1"), ("nmea", "NMEA 0183")])
    file = models.FileField(upload_to=_log_path, max_length=200)
    sha256 = models.CharField(max_length=64)
    # How it was read: columns, and where the course lies for positions on the globe.
    reading = models.JSONField(default=dict)

    class Meta(Written.Meta):
        constraints = [models.UniqueConstraint(fields=["day", "sha256"], name="log_imported_once_a_day")]

    def __str__(self):
        return self.original_name


class LoggedPassQuerySet(AppendOnlyQuerySet):
    def standing(self):
        """Without those that the engineer took from the run they had been matched to."""
        away = Settlement.objects.filter(models.Q(ruling="other") | models.Q(ruling__startswith="run-"), about="log")
        return self.exclude(pk__in=away.values("key"))


class LoggedPass(Written):
    """One pass through the course found in a log, with what it came to."""

    objects = LoggedPassQuerySet.as_manager()

    log = models.ForeignKey(LogFile, on_delete=models.PROTECT, related_name="passes")
    number = models.PositiveSmallIntegerField()
    run = models.ForeignKey("testing.Run", null=True, blank=True, on_delete=models.PROTECT, related_name="passes")
    starts_at = models.DateTimeField(null=True, blank=True)
    found = models.JSONField()

    class Meta(Written.Meta):
        constraints = [models.UniqueConstraint(fields=["log", "number"], name="pass_numbered_once_a_log")]

    def __str__(self):
        return f"Pass {self.number} of {self.log_id}"
