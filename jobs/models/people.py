from django.contrib.auth.models import AbstractUser
from django.db import models


class User(AbstractUser):
    """Somebody who signs in. What they may do comes from the groups in jobs/roles.py."""

    authority_number = models.CharField(
        "signatory authority number",
        max_length=40,
        blank=True,
        help_text="As issued by the registration authority; empty for everyone who does not sign.",
    )

    @property
    def full_name(self):
        return self.get_full_name() or self.username


class Owner(models.Model):
    """Who brings the vehicle and pays. May have an account, but never needs one."""

    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=30, blank=True)
    email = models.EmailField(blank=True)
    user = models.OneToOneField(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="owner_record")

    def __str__(self):
        return self.name
