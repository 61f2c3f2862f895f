from django.db import models

from .job import Job
from .people import User


class Ending(models.Model):
    """Why a job was closed without a certificate. Gone when it is opened again; the trail keeps both."""

    class Reason(models.TextChoices):
        DECLINED = "declined", "The owner does not want to go on"
        NOT_BROUGHT = "not_brought", "Never brought in"
        GIVEN_UP = "given_up", "Did not pass and was given up"
        NOT_POSSIBLE = "not_possible", "Cannot be certified as it is"
        MISTAKE = "mistake", "Opened by mistake, or twice"
        OTHER = "other", "Another reason"

    job = models.OneToOneField(Job, primary_key=True, on_delete=models.CASCADE, related_name="ending")
    reason = models.CharField(max_length=12, choices=Reason.choices)
    words = models.CharField(max_length=200, blank=True)
    stage = models.CharField("step it stood at", max_length=20)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                name="another_reason_is_said", condition=~models.Q(reason="other") | ~models.Q(words="")
            )
        ]

    def __str__(self):
        return self.get_reason_display()
