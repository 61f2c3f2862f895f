"""Results of further procedures, and what a test after a failed one has to repeat."""

from django.db import models

from testing.testday.written import Written


class Measurement(Written):
    """One recorded sheet of a procedure that is not the lane change: values, limits, instrument, verdict."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="measurements")
    procedure = models.CharField(max_length=20)
    measured_on = models.DateField()
    values = models.JSONField()
    # The limits that applied, copied with their source: the data may be edited later.
    limits = models.JSONField()
    instrument = models.CharField(max_length=120)
    calibrated_until = models.DateField()
    met = models.BooleanField()
    findings = models.JSONField(default=list)
    remark = models.CharField(max_length=500, blank=True)

    class Meta(Written.Meta):
        constraints = [
            models.CheckConstraint(
                name="measured_while_calibrated", condition=models.Q(calibrated_until__gte=models.F("measured_on"))
            )
        ]

    def __str__(self):
        return f"{self.procedure} {self.measured_on}: {'met' if self.met else 'not met'}"


class Retest(Written):
    """After a day that did not pass: what changed since, and which masses are driven again."""

    after = models.OneToOneField("testing.TestDay", on_delete=models.PROTECT, related_name="retest")
    changed = models.CharField(max_length=500)
    vehicle_changed = models.BooleanField()
    mass_changed = models.BooleanField()
    # Masses whose clean climb of the day before still stands.
    carried = models.JSONField(default=list)
    cost_aud = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)

    class Meta(Written.Meta):
        constraints = [
            models.CheckConstraint(
                name="a_change_carries_nothing",
                condition=models.Q(vehicle_changed=False, mass_changed=False) | models.Q(carried=[]),
            )
        ]

    def __str__(self):
        return f"Retest after {self.after_id}: {self.changed}"


class MustChange(Written):
    """What the owner was told has to change after a test day, or a driving report, that the vehicle did not pass."""

    day = models.OneToOneField(
        "testing.TestDay", null=True, blank=True, on_delete=models.PROTECT, related_name="must_change"
    )
    report = models.OneToOneField(
        "testing.DrivingReport", null=True, blank=True, on_delete=models.PROTECT, related_name="must_change"
    )
    told = models.CharField(max_length=500)

    class Meta(Written.Meta):
        constraints = [
            models.CheckConstraint(
                name="must_change_after_one_thing",
                condition=models.Q(day=None, report__isnull=False) | models.Q(day__isnull=False, report=None),
            )
        ]

    def __str__(self):
        return self.told
