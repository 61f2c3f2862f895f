from django.conf import settings
from django.db import models

from jobs.append_only import AppendOnly
from testing.scheduling.booking_models import Booking


class PreparationCheck(AppendOnly):
    """What was found about one item of the preparation. The latest word on an item counts."""

    booking = models.ForeignKey(Booking, on_delete=models.PROTECT, related_name="preparation")
    key = models.CharField(max_length=30)
    verdict = models.CharField(max_length=8, choices=[("met", "met"), ("not_met", "not met")])
    evidence = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return f"{self.key}: {self.verdict}"


class GoDecision(AppendOnly):
    """Go or no-go for a booking, with every condition as it was known at that moment."""

    booking = models.ForeignKey(Booking, on_delete=models.PROTECT, related_name="decisions")
    decision = models.CharField(max_length=5, choices=[("go", "go"), ("no_go", "no go")])
    occasion = models.CharField(max_length=20)
    conditions = models.JSONField()
    reason = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self):
        return f"{self.get_decision_display()} for {self.booking_id}"
