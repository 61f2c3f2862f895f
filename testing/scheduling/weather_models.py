from django.conf import settings
from django.db import models
from django.db.models import Q

from testing.scheduling import readings
from testing.scheduling.site_models import Site

MEASURED = (readings.WIND, readings.GUST, readings.RAIN)


def _in_range(prefix):
    return [
        models.CheckConstraint(
            name=f"{prefix}_{row.name}_in_range",
            condition=Q((f"{row.name}__isnull", True)) | Q((f"{row.name}__range", (row.low, row.high))),
        )
        for row in MEASURED
    ]


class WeatherHour(models.Model):
    """One hour of weather at one site."""

    starts_at = models.DateTimeField()
    wind_mps = models.FloatField(null=True)
    gust_mps = models.FloatField(null=True)
    rain_mm = models.FloatField(null=True)

    class Meta:
        abstract = True

    def __str__(self):
        return f"{self.site_id} {self.starts_at:%Y-%m-%d %H:%M}"


class ForecastHour(WeatherHour):
    """What is forecast for one hour at one site. The latest entry for an hour replaces the earlier.

    ``entered_by`` is empty for what the forecast service sent.
    """

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="forecast")
    origin = models.CharField(max_length=120)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["starts_at"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["site", "starts_at"], name="one_forecast_per_hour"),
            *_in_range("forecast"),
        ]


class PastHour(WeatherHour):
    """What was measured in one hour of the past: what the climatology of a site counts."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="past")

    class Meta:
        ordering = ["starts_at"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["site", "starts_at"], name="one_past_hour"),
            *_in_range("past"),
        ]


class Climatology(models.Model):
    """Windows of one length counted over the past of a site: lists by month and start hour."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="climatology")
    hours_needed = models.PositiveSmallIntegerField()
    wind_mps = models.FloatField()
    judged = models.JSONField()
    workable = models.JSONField()
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()
    counted_at = models.DateTimeField(auto_now=True)

    class Meta:
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["site", "hours_needed"], name="one_count_per_length")]

    def __str__(self):
        return f"{self.site_id}: {self.hours_needed} h"

    def counts(self, *, month, hour):
        """Windows judged and windows workable."""
        return self.judged[month - 1][hour], self.workable[month - 1][hour]


class WeatherColumns(models.Model):
    """How the columns of a file with this header are read; remembered from the first upload on."""

    header = models.CharField(max_length=64, unique=True)
    names = models.JSONField()
    columns = models.JSONField()
    unit = models.CharField(max_length=4)
    rain_unit = models.CharField(max_length=2)
    times = models.CharField(max_length=8)
    clock = models.CharField(max_length=4)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return ", ".join(self.names)


class WaitingFile(models.Model):
    """A file of hours whose columns nobody has explained yet. One for each person and site."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="+")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=120)
    text = models.TextField()
    past = models.BooleanField()
    unit = models.CharField(max_length=4)
    kept_at = models.DateTimeField(auto_now=True)

    class Meta:
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["site", "user"], name="one_waiting_file")]

    def __str__(self):
        return self.name


class ForecastFetch(models.Model):
    """How asking the forecast service went for a site."""

    site = models.OneToOneField(Site, on_delete=models.CASCADE, related_name="fetch")
    tried_at = models.DateTimeField()
    fetched_at = models.DateTimeField(null=True)
    problem = models.CharField(max_length=200, blank=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"{self.site_id}: {self.problem or 'fetched'}"
