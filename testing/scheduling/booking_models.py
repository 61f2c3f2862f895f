from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from jobs.models import Job
from testing.scheduling.crew_models import CrewMember
from testing.scheduling.gear_models import Instrument
from testing.scheduling.site_models import Site
from vehicles.models import Document


class InsuranceCover(models.Model):
    """Cover for the vehicle while it is tested, arranged by the owner or by the engineer."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="covers")
    arranged_by = models.CharField(max_length=8, choices=[("owner", "the owner"), ("engineer", "the engineer")])
    reference = models.CharField("insurer and reference", max_length=120)
    sum_aud = models.DecimalField("sum insured", max_digits=9, decimal_places=2)
    valid_from = models.DateField()
    valid_to = models.DateField()
    document = models.ForeignKey(Document, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["valid_from"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(name="cover_ends_after_it_begins", condition=Q(valid_to__gte=F("valid_from"))),
            models.CheckConstraint(name="cover_sum_positive", condition=Q(sum_aud__gt=0)),
        ]

    def __str__(self):
        return self.reference


class Hire(models.Model):
    """One hire of a site for several vehicles, with the order of the day as it was planned."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="hires")
    order = models.JSONField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"Hire {self.pk} of {self.site}"


CAUSES = [
    ("weather", "The weather"),
    ("crew", "Driver, crew or engineer"),
    ("vehicle", "The vehicle or its owner"),
    ("site", "The site or its gear"),
    ("other", "Something else"),
]


class BookingQuerySet(models.QuerySet):
    def standing(self):
        """Bookings that take their time now: not cancelled, and not a hold that has run out."""
        return self.filter(cancelled_at=None).filter(Q(held_until=None) | Q(held_until__gt=timezone.now()))

    def run_out(self):
        """Holds whose time is over and that nobody has cleared away yet."""
        return self.filter(cancelled_at=None, held_until__lte=timezone.now())


class Booking(models.Model):
    """A site, a crew, instruments and a vehicle for some hours. Never deleted; cancelled with a reason.

    ``held_until`` is set while it is only held; ``risk`` says why it may not happen, as last looked at.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="bookings")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="bookings")
    driver = models.ForeignKey(CrewMember, on_delete=models.PROTECT, related_name="bookings")
    observers = models.ManyToManyField(CrewMember, blank=True, related_name="observing")
    instruments = models.ManyToManyField(Instrument, blank=True, related_name="bookings")
    hire = models.ForeignKey(Hire, null=True, blank=True, on_delete=models.PROTECT, related_name="bookings")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    held_until = models.DateTimeField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_because = models.CharField(max_length=200, blank=True)
    # Empty: cancelled before the cause was asked for, or not by a person.
    cause = models.CharField("what it was cancelled for", max_length=7, blank=True, choices=CAUSES)
    paid_again = models.BooleanField("postponed: part of the price is paid again", default=False)
    risk = models.CharField(max_length=300, blank=True)
    at_risk_since = models.DateTimeField(null=True, blank=True)
    booked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    booked_at = models.DateTimeField(auto_now_add=True)

    objects = BookingQuerySet.as_manager()

    class Meta:
        ordering = ["starts_at"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(name="booking_ends_after_it_begins", condition=Q(ends_at__gt=F("starts_at"))),
            models.UniqueConstraint(
                fields=["job"], condition=Q(cancelled_at__isnull=True), name="one_standing_booking_per_job"
            ),
        ]
        indexes = [
            # The planner: what stands from now on.
            models.Index(fields=["ends_at"], condition=Q(cancelled_at__isnull=True), name="standing_bookings"),
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
    def held_until_local(self):
        return self.held_until and self.held_until.astimezone(self.site.zone)

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
