from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.crypto import get_random_string

from jobs.append_only import AppendOnly

from .job import Job
from .people import User
from .workshop import PriceBookEdition, Workshop


def _money(**kwargs):
    return models.DecimalField(max_digits=10, decimal_places=2, **kwargs)


class Estimate(AppendOnly):
    """One version of what a job will cost, as it was written. A new version replaces it, nothing changes it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="estimates")
    version = models.PositiveSmallIntegerField()
    workshop = models.ForeignKey(Workshop, on_delete=models.PROTECT, related_name="+")
    price_book = models.ForeignKey(PriceBookEdition, on_delete=models.PROTECT, related_name="+")
    low_aud = _money()
    likely_aud = _money()
    high_aud = _money()
    gst_aud = _money()
    lines = models.JSONField()
    spread = models.JSONField()
    basis = models.CharField(max_length=200)
    missing = models.JSONField(default=list)
    because = models.CharField(max_length=300, blank=True)
    valid_until = models.DateField()
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["job", "-version"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["job", "version"], name="estimate_numbered_once_a_job"),
            models.CheckConstraint(
                name="estimate_low_likely_high_in_order",
                condition=Q(low_aud__lte=models.F("likely_aud"), likely_aud__lte=models.F("high_aud")),
            ),
        ]

    def __str__(self):
        return f"Estimate {self.job.number}, version {self.version}"

    def get_absolute_url(self):
        return reverse("jobs:estimate_version", args=[self.job.number, self.version])


class EstimateEvent(AppendOnly):
    """What happened to a version: sent, opened, accepted or declined, by whom and when."""

    class Kind(models.TextChoices):
        SENT = "sent", "sent"
        OPENED = "opened", "opened"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"

    estimate = models.ForeignKey(Estimate, on_delete=models.PROTECT, related_name="events")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    name = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=500, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(
                fields=["estimate"], condition=Q(kind__in=("accepted", "declined")), name="estimate_decided_once"
            ),
            models.UniqueConstraint(fields=["estimate"], condition=Q(kind="opened"), name="estimate_opened_once"),
        ]

    def __str__(self):
        return f"{self.estimate_id}: {self.kind}"


def _sent_path(paper, filename):
    return f"estimates/{get_random_string(32)}"


class SentEstimate(AppendOnly):
    """The PDF of a version as it went out, byte for byte."""

    estimate = models.OneToOneField(Estimate, on_delete=models.PROTECT, related_name="paper")
    pdf = models.FileField(upload_to=_sent_path, max_length=200)
    sha256 = models.CharField(max_length=64)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"PDF of {self.estimate_id}"


class Payment(AppendOnly):
    """Money that came in or went back. A wrong entry is set right by an opposite one."""

    class Kind(models.TextChoices):
        DEPOSIT = "deposit", "Deposit"
        PAYMENT = "payment", "Payment"
        REFUND = "refund", "Paid back"

    class How(models.TextChoices):
        TRANSFER = "transfer", "bank transfer"
        TERMINAL = "terminal", "card terminal at the desk"
        CASH = "cash", "cash"
        CHEQUE = "cheque", "cheque"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    how = models.CharField("paid by", max_length=8, choices=How.choices)
    amount_aud = _money()
    received_on = models.DateField()
    reference = models.CharField(max_length=80, blank=True)
    # The mark of the form it came with: the same form sent twice is one payment. Empty before there were marks.
    sent_as = models.UUIDField(null=True, unique=True, editable=False)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["received_on", "pk"]
        default_permissions = ()
        constraints = [models.CheckConstraint(name="payment_positive", condition=Q(amount_aud__gt=0))]

    def __str__(self):
        return f"{self.get_kind_display()} {self.amount_aud}"


class Cost(AppendOnly):
    """What something really cost, set beside the line of the estimate that it belongs to."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="costs")
    line = models.CharField(max_length=40)
    amount_aud = _money()
    note = models.CharField(max_length=200, blank=True)
    sent_as = models.UUIDField(null=True, unique=True, editable=False)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return f"{self.line}: {self.amount_aud}"
