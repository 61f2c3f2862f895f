import zoneinfo

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.formats import date_format

from vehicles.calculations.daylight import LATITUDE, LONGITUDE


def check_time_zone(name):
    if name not in zoneinfo.available_timezones():
        raise ValidationError(
            "“%(name)s” is not a time zone. Allowed: names such as Australia/Sydney.", params={"name": name}
        )


def _in_range(name, low, high):
    return models.CheckConstraint(
        name=f"site_{name}_in_range",
        condition=Q((f"{name}__isnull", True)) | Q((f"{name}__range", (low, high))),
    )


class Site(models.Model):
    """A closed place to test on: where it is, how much room there is, when it is open, what it costs.

    ``before_m`` and ``after_m`` are the parts of the length, at its two ends, on which no course can stand.
    """

    name = models.CharField(max_length=80, unique=True)
    place = models.CharField(max_length=80, blank=True)
    time_zone = models.CharField(max_length=40, default="Australia/Sydney", validators=[check_time_zone])
    latitude_deg = models.FloatField(null=True, blank=True)
    longitude_deg = models.FloatField(null=True, blank=True)
    length_m = models.FloatField("usable length, run-up and run-off included")
    before_m = models.FloatField(null=True, blank=True)
    after_m = models.FloatField(null=True, blank=True)
    width_m = models.FloatField("usable width")
    opens = models.TimeField()
    closes = models.TimeField()
    level = models.BooleanField("level in both directions", null=True, blank=True)
    surface = models.CharField(max_length=80, blank=True)
    hire_aud = models.DecimalField("hire per booking", max_digits=8, decimal_places=2, null=True, blank=True)
    contact = models.CharField(max_length=80, blank=True)
    phone = models.CharField(max_length=30, blank=True)
    email = models.EmailField(blank=True)

    class Meta:
        ordering = ["name"]
        default_permissions = ()
        permissions = [
            ("view_schedule", "Can see sites, crew and bookings"),
            ("schedule", "Can plan: sites, crew, forecasts, cover, bookings"),
        ]
        constraints = [
            models.CheckConstraint(name="site_length_in_range", condition=Q(length_m__range=(50, 10_000))),
            models.CheckConstraint(name="site_width_in_range", condition=Q(width_m__range=(3, 1_000))),
            models.CheckConstraint(name="site_opens_before_it_closes", condition=Q(opens__lt=F("closes"))),
            _in_range("before_m", 0, 10_000),
            _in_range("after_m", 0, 10_000),
            _in_range("latitude_deg", LATITUDE.low, LATITUDE.high),
            _in_range("longitude_deg", LONGITUDE.low, LONGITUDE.high),
        ]

    def __str__(self):
        return self.name

    @property
    def zone(self):
        return zoneinfo.ZoneInfo(self.time_zone)

    @property
    def located(self):
        return self.latitude_deg is not None and self.longitude_deg is not None


class SiteBlackout(models.Model):
    """Days on which a site cannot be had, first and last included."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="blackouts")
    first_day = models.DateField()
    last_day = models.DateField()
    reason = models.CharField(max_length=80)

    class Meta:
        ordering = ["first_day"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(name="blackout_ends_after_it_begins", condition=Q(last_day__gte=F("first_day")))
        ]

    def __str__(self):
        return f"{date_format(self.first_day)} to {date_format(self.last_day)}: {self.reason}"

    def holds_on(self, day):
        return self.first_day <= day <= self.last_day
