import secrets

from django.db import models
from django.urls import reverse

from vehicles.models import PLATE_STATES, Vehicle

from .people import Owner


def new_token():
    """192 bits from the system's source of randomness: nobody guesses an owner's page."""
    return secrets.token_urlsafe(24)


class JobQuerySet(models.QuerySet):
    def with_people(self):
        return self.select_related("vehicle", "owner")


class Job(models.Model):
    """One modified vehicle, one owner, one file from booking to certificate; opened by jobs/services.py.

    ``stage`` is the key of a step in jobs/steps.py, or ``done``; only jobs/stages.py changes it.
    """

    number = models.CharField(max_length=12, unique=True)
    vehicle = models.OneToOneField(Vehicle, on_delete=models.PROTECT, related_name="job")
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="jobs")
    jurisdiction = models.CharField(max_length=3, choices=PLATE_STATES)
    stage = models.CharField(max_length=20, default="booking")
    created_at = models.DateTimeField(auto_now_add=True)
    stage_since = models.DateTimeField(auto_now_add=True)
    expected_at = models.DateTimeField("vehicle comes in", null=True, blank=True, db_index=True)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        permissions = [
            ("book_in", "Can book vehicles in"),
            ("send_back", "Can send a job back to an earlier step"),
        ]
        indexes = [
            # The job book: open jobs, longest waiting first.
            models.Index(fields=["stage", "stage_since"], name="job_book"),
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("jobs:job", args=[self.number])

    @property
    def owner_token(self):
        """The key of the newest link that opens the owner's page, or empty while none does."""
        link = self.owner_links.standing().first()
        return link.token if link else ""

    @property
    def done(self):
        return self.stage == "done"
