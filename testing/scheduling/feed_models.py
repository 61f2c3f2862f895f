import secrets

from django.conf import settings
from django.db import models


def new_token():
    return secrets.token_urlsafe(24)


class CalendarFeed(models.Model):
    """The address under which somebody's calendar reads the bookings. A new token closes the old address."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="calendar_feed")
    token = models.CharField(max_length=40, unique=True, default=new_token)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"Feed of {self.user_id}"
