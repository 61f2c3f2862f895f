from datetime import timedelta

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.append_only import AppendOnly
from jobs.models import Job
from testing.scheduling.models import Booking, CrewMember

MASSES = [("tm1", "Test Mass 1"), ("tm2", "Test Mass 2")]


class TestDay(AppendOnly):
    """One test day: a booking that came about, with the work-up that the crew worked from."""

    __test__ = False  # the name begins like a test case's; it is not one

    booking = models.OneToOneField(Booking, on_delete=models.PROTECT, related_name="test_day")
    inputs = models.JSONField()
    work_up = models.JSONField()
    # Site, driver, crew and instruments as they were; empty on days from before they were copied.
    booked = models.JSONField(default=dict, blank=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        permissions = [
            ("view_test_day", "Can read day sheets"),
            ("run_test_day", "Can run a test day and record runs"),
            ("drive", "Can open the day sheets of the days they drive"),
        ]

    def __str__(self):
        return f"Test day {self.booking}"


class Check(AppendOnly):
    """One thing that was looked at before the first run, by whom and when. It stands until it is taken back."""

    day = models.ForeignKey(TestDay, on_delete=models.PROTECT, related_name="checks")
    key = models.CharField(max_length=30)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    # By the clock of a phone that had no reception: a run in between waited for this check already.
    done_at = models.DateTimeField(null=True, blank=True)
    # One more for every time that it was taken back before.
    round = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["day", "key", "round"], name="checked_once_a_round")]

    def __str__(self):
        return self.key

    @property
    def when(self):
        return self.done_at or self.at


class Run(AppendOnly):
    """One pass through the course, as it was seen. Never changed; struck out with a reason."""

    day = models.ForeignKey(TestDay, on_delete=models.PROTECT, related_name="runs")
    number = models.PositiveSmallIntegerField()
    mass = models.CharField(max_length=3, choices=MASSES)
    aimed_kmh = models.PositiveSmallIntegerField()
    measured_kmh = models.FloatField(null=True, blank=True)
    outcome = models.CharField(
        max_length=8, choices=[("clean", "clean"), ("cones", "cones moved"), ("aborted", "aborted")]
    )
    cones_moved = models.PositiveSmallIntegerField(default=0)
    wind_mps = models.FloatField(null=True, blank=True)
    gust_mps = models.FloatField(null=True, blank=True)
    # Numbers of the cones that moved, as the drawing of the course numbers them.
    cones = models.JSONField(default=list, blank=True)
    roll_deg = models.FloatField(null=True, blank=True)
    wheel_lift = models.BooleanField(default=False)
    driver_stops = models.BooleanField(default=False)
    surface = models.CharField(max_length=4, choices=[("dry", "dry"), ("damp", "damp"), ("wet", "wet")])
    counts = models.BooleanField()
    not_counting_because = models.CharField(max_length=200, blank=True)
    # Of these reasons the ones that lie in when it was driven: no correction of what was seen mends them.
    untimely = models.JSONField(default=list, blank=True)
    remark = models.CharField(max_length=300, blank=True)
    # Sent with the form: the same run sent twice is stored once.
    sent_as = models.UUIDField(unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    # By the clock of the device, set right by the server's: a run that waited for reception was driven earlier.
    driven_at = models.DateTimeField(null=True, blank=True)
    device = models.CharField(max_length=40, blank=True)
    contests = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="contested_by")
    corrects = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrected_by"
    )

    class Meta:
        ordering = ["day", "number"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["day", "number"], name="run_numbered_once_a_day"),
            models.CheckConstraint(
                name="run_that_does_not_count_says_why",
                condition=Q(counts=True) | ~Q(not_counting_because=""),
            ),
            models.CheckConstraint(
                name="run_with_cones_moved_is_not_clean",
                condition=Q(outcome="cones", cones_moved__gt=0) | (~Q(outcome="cones") & Q(cones_moved=0)),
            ),
        ]

    def __str__(self):
        return f"Run {self.number}: {self.get_mass_display()}, {self.aimed_kmh} km/h, {self.get_outcome_display()}"

    @property
    def too_slow(self):
        """A run that was not measured at its own speed opens nothing, however clean."""
        return self.measured_kmh is None or self.measured_kmh < self.aimed_kmh

    @property
    def when(self):
        return self.driven_at or self.at

    @property
    def came_late(self):
        """Whether it waited on a phone for reception."""
        return self.corrects_id is None and self.at - self.when > timedelta(minutes=1)


class StruckRun(AppendOnly):
    """A run that was written down wrongly. It stays readable and no longer speaks."""

    run = models.OneToOneField(Run, on_delete=models.PROTECT, related_name="struck")
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"{self.run_id} struck: {self.reason}"


class Release(AppendOnly):
    """The engineer's decision to go on after failures in a row stopped the climb at one mass."""

    day = models.ForeignKey(TestDay, on_delete=models.PROTECT, related_name="releases")
    mass = models.CharField(max_length=3, choices=MASSES)
    # The last run by number, as people speak of it.
    after_run = models.PositiveSmallIntegerField()
    # Numbers of the runs and keys of the stops that the engineer knew of: what came to light later is not let go.
    known_runs = models.JSONField(default=list, blank=True)
    known_stops = models.JSONField(default=list, blank=True)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    # A decision taken without reception was taken earlier, and may be sent twice.
    decided_at = models.DateTimeField(null=True, blank=True)
    sent_as = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    @property
    def when(self):
        return self.decided_at or self.at

    def __str__(self):
        return f"{self.get_mass_display()} released after run {self.after_run}: {self.reason}"


class DriverStatement(AppendOnly):
    """The driver's signed word on whether the vehicle is safe to drive. One for each test day."""

    day = models.OneToOneField(TestDay, on_delete=models.PROTECT, related_name="statement")
    driver = models.ForeignKey(CrewMember, on_delete=models.PROTECT, related_name="+")
    safe = models.BooleanField()
    remark = models.CharField(max_length=500, blank=True)
    # {"tm1": {"steering": 8, ..., "remark": "..."}, "tm2": {...}}, on the scale of SAE J1441.
    ratings = models.JSONField(default=dict, blank=True)
    # Strokes drawn on the screen, each a list of [x, y]; empty where only the name was typed.
    strokes = models.JSONField(default=list, blank=True)
    signed_name = models.CharField(max_length=80)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    # A statement that waited on the phone for reception was signed earlier, and may be sent twice.
    signed_at = models.DateTimeField(null=True, blank=True)
    sent_as = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"{self.signed_name}: {'safe' if self.safe else 'not safe'}"

    @property
    def when(self):
        return self.signed_at or self.at


class DrivingReport(AppendOnly):
    """The certifier's own drive, where the vehicle is too heavy for the lane-change test."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="driving_reports")
    # The facts that it was driven with: a report speaks of no other vehicle.
    inputs = models.JSONField(default=dict, blank=True)
    signed_name = models.CharField(max_length=80, blank=True)
    strokes = models.JSONField(default=list, blank=True)
    driven_on = models.DateField()
    conditions = models.CharField("roads, load and weather", max_length=300)
    handling = models.TextField("how it handled", max_length=3000)
    checks = models.JSONField(default=list, blank=True)
    ratings = models.JSONField(default=dict, blank=True)
    # What it weighed when driven: {"front_kg": ..., "rear_kg": ...}; unknown values are left out.
    masses = models.JSONField(default=dict, blank=True)
    safe = models.BooleanField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return f"Driving report {self.job_id}"

    @property
    def when(self):
        return self.at


# The other tables of the day live in files of their own; they are loaded with this one.
from testing.testday.log_models import ColumnMapping, LogFile, LoggedPass  # noqa: E402
from testing.testday.report_models import Measurement, MustChange, Retest  # noqa: E402
from testing.testday.sheet_models import (  # noqa: E402
    CheckException,
    Countersignature,
    KeptEntry,
    Loading,
    RollLimit,
    RunPhoto,
    Settlement,
    Stop,
    TakenBack,
)

__all__ = [
    "MASSES", "Check", "CheckException", "ColumnMapping", "Countersignature", "DriverStatement",
    "DrivingReport", "KeptEntry", "Loading", "LogFile", "LoggedPass", "Measurement", "MustChange", "Release",
    "Retest", "RollLimit", "Run", "RunPhoto", "Settlement", "Stop", "StruckRun", "TakenBack", "TestDay",
]  # fmt: skip
