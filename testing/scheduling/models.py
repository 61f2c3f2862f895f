import zoneinfo

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q

from jobs.models import Job
from testing.scheduling import readings


def check_time_zone(name):
    if name not in zoneinfo.available_timezones():
        raise ValidationError(
            "“%(name)s” is not a time zone. Allowed: names such as Australia/Sydney.", params={"name": name}
        )


class Site(models.Model):
    """A closed place to test on: how much room there is, when it is open, what it costs."""

    name = models.CharField(max_length=80, unique=True)
    place = models.CharField(max_length=80, blank=True)
    time_zone = models.CharField(max_length=40, default="Australia/Sydney", validators=[check_time_zone])
    length_m = models.FloatField("usable length, run-up and run-off included")
    width_m = models.FloatField("usable width")
    opens = models.TimeField()
    closes = models.TimeField()
    level = models.BooleanField("level in both directions", null=True, blank=True)
    surface = models.CharField(max_length=80, blank=True)
    hire_aud = models.DecimalField("hire per booking", max_digits=8, decimal_places=2, null=True, blank=True)

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
        ]

    def __str__(self):
        return self.name

    @property
    def zone(self):
        return zoneinfo.ZoneInfo(self.time_zone)


class CrewMember(models.Model):
    """Somebody who drives or observes on a test day."""

    name = models.CharField(max_length=80)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="crew_member"
    )
    drives = models.BooleanField("may drive tests", default=False)
    skill_evidence = models.CharField(
        "evidence of skill", max_length=200, blank=True, help_text="Road-testing experience, course, licence."
    )
    evidence_valid_to = models.DateField(null=True, blank=True)
    mass_kg = models.FloatField("mass, dressed for the test", null=True, blank=True)

    class Meta:
        ordering = ["name"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                name="crew_mass_in_range", condition=Q(mass_kg__isnull=True) | Q(mass_kg__range=(35, 250))
            )
        ]

    def __str__(self):
        return self.name


class ForecastHour(models.Model):
    """What is forecast for one hour at one site. The latest entry for an hour replaces the earlier."""

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="forecast")
    starts_at = models.DateTimeField()
    wind_mps = models.FloatField(null=True)
    gust_mps = models.FloatField(null=True)
    rain_mm = models.FloatField(null=True)
    origin = models.CharField(max_length=120)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["starts_at"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["site", "starts_at"], name="one_forecast_per_hour"),
            *(
                models.CheckConstraint(
                    name=f"forecast_{row.name}_in_range",
                    condition=Q((f"{row.name}__isnull", True)) | Q((f"{row.name}__range", (row.low, row.high))),
                )
                for row in (readings.WIND, readings.GUST, readings.RAIN)
            ),
        ]

    def __str__(self):
        return f"{self.site_id} {self.starts_at:%Y-%m-%d %H:%M}"


class InsuranceCover(models.Model):
    """Cover for the vehicle while it is tested, arranged by the owner or by the engineer."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="covers")
    arranged_by = models.CharField(max_length=8, choices=[("owner", "the owner"), ("engineer", "the engineer")])
    reference = models.CharField("insurer and reference", max_length=120)
    sum_aud = models.DecimalField("sum insured", max_digits=9, decimal_places=2)
    valid_from = models.DateField()
    valid_to = models.DateField()

    class Meta:
        ordering = ["valid_from"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(name="cover_ends_after_it_begins", condition=Q(valid_to__gte=F("valid_from"))),
            models.CheckConstraint(name="cover_sum_positive", condition=Q(sum_aud__gt=0)),
        ]

    def __str__(self):
        return self.reference


class Booking(models.Model):
    """A site, a driver and a vehicle for some hours. Never deleted; cancelled with a reason."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="bookings")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="bookings")
    driver = models.ForeignKey(CrewMember, on_delete=models.PROTECT, related_name="bookings")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_because = models.CharField(max_length=200, blank=True)
    booked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    booked_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["starts_at"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(name="booking_ends_after_it_begins", condition=Q(ends_at__gt=F("starts_at"))),
            models.UniqueConstraint(
                fields=["job"], condition=Q(cancelled_at__isnull=True), name="one_standing_booking_per_job"
            ),
        ]

    def __str__(self):
        return f"{self.site}, {self.when}"

    @property
    def local_start(self):
        return self.starts_at.astimezone(self.site.zone)

    @property
    def local_end(self):
        return self.ends_at.astimezone(self.site.zone)

    @property
    def day(self):
        """The date on which it is driven, as the site's calendar has it."""
        return self.local_start.date()

    @property
    def when(self):
        start, end = self.local_start, self.local_end
        return f"{start:%a} {start.day} {start:%b %Y}, {start:%H:%M} to {end:%H:%M} {end:%Z}"


class BookedSlot(models.Model):
    """One resource taken for one slot of time. The unique pair is what forbids booking twice.

    A range constraint would do the same on PostgreSQL only; slots hold on every database.
    """

    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="slots")
    resource = models.CharField(max_length=40)
    slot_at = models.DateTimeField()

    class Meta:
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["resource", "slot_at"], name="resource_booked_once")]

    def __str__(self):
        return f"{self.resource} {self.slot_at:%Y-%m-%d %H:%M}"
