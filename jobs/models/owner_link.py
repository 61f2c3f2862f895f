from datetime import timedelta

from django.db import models
from django.utils import timezone
from django.utils.formats import date_format

from jobs import steps

from .job import Job, new_token
from .people import User
from .workshop import Workshop


def expiry():
    return timezone.now() + timedelta(days=Workshop.current().link_days)


class OwnerLinkQuerySet(models.QuerySet):
    def standing(self):
        """Links that open the page now, the newest first. While its job is open a link does not run out."""
        holds = models.Q(expires_at__gt=timezone.now()) | ~models.Q(job__stage=steps.DONE)
        return self.filter(holds, revoked_at=None).order_by("-pk")

    def count_from_now(self):
        """The days that a link holds begin when its job is closed."""
        until = expiry()
        return self.filter(revoked_at=None, expires_at__lt=until).update(expires_at=until)


class OwnerLink(models.Model):
    """An address that opens the owner's page of one job, until it expires or is withdrawn."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="owner_links")
    token = models.CharField(max_length=40, unique=True, default=new_token, editable=False)
    created_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField(default=expiry)
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    objects = OwnerLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self):
        return f"Link of {self.job_id}"

    @property
    def state(self):
        if self.revoked_at:
            return "withdrawn"
        return "open" if not self.job.done or self.expires_at > timezone.now() else "expired"

    @property
    def works_until(self):
        """In the words that follow “works until”."""
        if self.job.done:
            return date_format(timezone.localtime(self.expires_at))
        days = Workshop.current().link_days
        return f"{days} day{'s' if days != 1 else ''} after the job is closed"


class OwnerCode(models.Model):
    """A short code that shows the link is in the owner's hands. Only its keyed hash is stored."""

    link = models.ForeignKey(OwnerLink, on_delete=models.CASCADE, related_name="codes")
    code_hash = models.CharField(max_length=64)
    made_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self):
        return f"Code for link {self.link_id}"
