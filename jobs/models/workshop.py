from django.db import models
from django.utils.crypto import get_random_string

from jobs.append_only import AppendOnly
from vehicles.models import PLATE_STATES

from .people import User


def _logo_path(workshop, filename):
    """Under a random name: what a file was called never reaches the file system."""
    return f"workshop/{get_random_string(32)}"


class Workshop(AppendOnly):
    """The workshop as it presents itself. Each saving is a new row, so an old paper keeps what it said."""

    name = models.CharField(max_length=120)
    address = models.CharField("postal address", max_length=200)
    phone = models.CharField(max_length=30, blank=True)
    email = models.EmailField("e-mail", blank=True)
    abn = models.CharField("ABN", max_length=14)
    web_address = models.URLField("address of this site", max_length=200, blank=True)
    logo = models.FileField(upload_to=_logo_path, max_length=200, blank=True)
    logo_type = models.CharField(max_length=40, blank=True)
    terms = models.TextField("terms printed under an estimate", max_length=8000, blank=True)
    estimate_days = models.PositiveSmallIntegerField("an estimate holds for", default=30)
    link_days = models.PositiveSmallIntegerField("an owner's link holds for", default=180)
    retention_years = models.PositiveSmallIntegerField("closed files are kept for", default=7)
    # Where most vehicles come from: what booking in starts from. Empty asks every time.
    home_jurisdiction = models.CharField(
        "most vehicles are registered in", max_length=3, blank=True, choices=PLATE_STATES
    )
    # Key of a step → days a job may rest there before it is late; a step left out keeps its usual days.
    step_days = models.JSONField(default=dict)
    saved_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    saved_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()
        permissions = [
            ("keep_workshop", "Can keep the workshop's settings"),
            ("deal_with_owner", "Can deal with owners: links, questions, estimates, messages"),
            ("view_overview", "Can see the figures of the business"),
        ]

    def __str__(self):
        return self.name

    @classmethod
    def current(cls):
        """The workshop as it stands now; an unsaved one with the usual terms while nothing is entered."""
        return cls.objects.first() or cls()

    def days_at(self, step):
        """Days that a job may rest at a step."""
        return self.step_days.get(step.key, step.days)


class Authority(models.Model):
    """Somebody's authority to sign for one jurisdiction, as its registration authority granted it."""

    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="authorities")
    jurisdiction = models.CharField(max_length=3, choices=PLATE_STATES)
    number = models.CharField("authority number", max_length=40)
    valid_from = models.DateField()
    valid_to = models.DateField()
    added_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["user__last_name", "jurisdiction", "valid_from"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                name="authority_ends_after_it_begins", condition=models.Q(valid_to__gte=models.F("valid_from"))
            )
        ]

    def __str__(self):
        return f"{self.number} ({self.jurisdiction})"


class PriceBookEdition(AppendOnly):
    """One edition of the price book. An estimate names the edition it was made from, for good."""

    edition = models.CharField(max_length=80, unique=True)
    valid_from = models.DateField()
    valid_to = models.DateField()
    data = models.JSONField()
    added_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self):
        return self.edition


class MessageText(AppendOnly):
    """The workshop's own wording of one message. The latest counts; earlier ones stay readable."""

    event = models.CharField(max_length=40, db_index=True)
    subject = models.CharField(max_length=150)
    body = models.TextField(max_length=8000)
    by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self):
        return f"{self.event}: {self.subject}"
