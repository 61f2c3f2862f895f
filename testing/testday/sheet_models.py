"""What else the sheet of a test day keeps: exceptions, loading, stops, photos, what is settled."""

from django.db import models
from django.utils.crypto import get_random_string

from testing.testday.written import Written

_MASSES = [("tm1", "Test Mass 1"), ("tm2", "Test Mass 2")]


def _of_day(name):
    return models.ForeignKey("testing.TestDay", on_delete=models.PROTECT, related_name=name)


class CheckException(Written):
    """A check that the engineer lets pass for a reason, where the procedure allows it."""

    day = _of_day("exceptions")
    key = models.CharField(max_length=30)
    reason = models.CharField(max_length=300)
    round = models.PositiveSmallIntegerField(default=1)

    class Meta(Written.Meta):
        constraints = [models.UniqueConstraint(fields=["day", "key", "round"], name="excepted_once_a_round")]

    def __str__(self):
        return f"{self.key}: {self.reason}"


class TakenBack(Written):
    """A confirmed check or an accepted exception that no longer holds. Runs wait for the check anew."""

    confirmed = models.OneToOneField(
        "testing.Check", null=True, blank=True, on_delete=models.PROTECT, related_name="taken_back"
    )
    excepted = models.OneToOneField(
        CheckException, null=True, blank=True, on_delete=models.PROTECT, related_name="taken_back"
    )
    reason = models.CharField(max_length=300)

    class Meta(Written.Meta):
        constraints = [
            models.CheckConstraint(
                name="taken_back_is_one_thing",
                condition=models.Q(confirmed=None, excepted__isnull=False)
                | models.Q(confirmed__isnull=False, excepted=None),
            )
        ]

    def __str__(self):
        return self.reason


class Loading(Written):
    """What was really loaded for one mass, and what it came to. The latest is what stands on the wheels."""

    day = _of_day("loadings")
    mass = models.CharField(max_length=3, choices=_MASSES)
    # kg by place, as the plan names the places.
    places = models.JSONField(default=dict)
    front_kg = models.FloatField(null=True, blank=True)
    rear_kg = models.FloatField(null=True, blank=True)
    total_kg = models.FloatField()
    target_kg = models.FloatField()
    basis = models.CharField(max_length=8, choices=[("weighed", "weighed"), ("computed", "computed")])
    met = models.BooleanField()
    because = models.CharField(max_length=300, blank=True)
    restrained = models.BooleanField()
    remark = models.CharField(max_length=300, blank=True)
    sent_as = models.UUIDField(unique=True)
    loaded_at = models.DateTimeField()

    class Meta(Written.Meta):
        constraints = [
            models.CheckConstraint(
                name="loading_met_is_restrained", condition=models.Q(met=False) | models.Q(restrained=True)
            ),
            models.CheckConstraint(
                name="loading_not_met_says_why", condition=models.Q(met=True) | ~models.Q(because="")
            ),
        ]

    def __str__(self):
        return f"{self.get_mass_display()}: {self.total_kg:,.1f} kg {self.basis}"

    @property
    def when(self):
        return self.loaded_at


class Stop(Written):
    """Somebody's word that nothing more is driven until the engineer decides."""

    day = _of_day("stops")
    reason = models.CharField(max_length=300)
    sent_as = models.UUIDField(unique=True)
    # By the clock of a phone that had no reception.
    called_at = models.DateTimeField(null=True, blank=True)

    def __str__(self):
        return self.reason

    @property
    def when(self):
        return self.called_at or self.at


class RollLimit(Written):
    """The angle of roll beyond which the climb stops, as the engineer set it for this vehicle."""

    day = _of_day("roll_limits")
    angle_deg = models.FloatField()
    reason = models.CharField(max_length=300)

    def __str__(self):
        return f"{self.angle_deg:g}°"


def _photo_path(photo, filename):
    return f"runs/{photo.run_id}/{get_random_string(32)}"


class RunPhoto(Written):
    """A photo taken of a run. Reached only through a view that asks who is asking."""

    run = models.ForeignKey("testing.Run", on_delete=models.PROTECT, related_name="photos")
    file = models.FileField(upload_to=_photo_path, max_length=200)
    content_type = models.CharField(max_length=40)
    sha256 = models.CharField(max_length=64)
    sent_as = models.UUIDField(unique=True)

    def __str__(self):
        return f"Photo of run {self.run_id}"


class KeptEntry(Written):
    """What a device sent and the sheet could not take. Kept word for word until the engineer has looked."""

    day = _of_day("kept_entries")
    kind = models.CharField(max_length=10)
    entry = models.JSONField()
    reason = models.CharField(max_length=300)
    sent_as = models.UUIDField(unique=True)

    def __str__(self):
        return f"{self.kind}: {self.reason}"


class Settlement(Written):
    """The engineer's ruling on something that two sources say differently."""

    day = _of_day("settlements")
    about = models.CharField(
        max_length=8, choices=[("contest", "two phones"), ("late", "late run"), ("entry", "kept entry"), ("log", "log")]
    )
    key = models.PositiveBigIntegerField()
    ruling = models.CharField(max_length=20)
    reason = models.CharField(max_length=300)

    class Meta(Written.Meta):
        constraints = [models.UniqueConstraint(fields=["day", "about", "key"], name="settled_once")]

    def __str__(self):
        return f"{self.about} {self.key}: {self.ruling}"


class Countersignature(Written):
    """The signatory's own word under the driver's statement."""

    statement = models.OneToOneField(
        "testing.DriverStatement", on_delete=models.PROTECT, related_name="countersignature"
    )
    safe = models.BooleanField()
    remark = models.CharField(max_length=500, blank=True)
    signed_name = models.CharField(max_length=80)
    authority_number = models.CharField(max_length=40)
    strokes = models.JSONField(default=list, blank=True)

    def __str__(self):
        return f"{self.signed_name}: {'safe' if self.safe else 'not safe'}"
