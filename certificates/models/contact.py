from django.db import models

from .event import Event


class NewOwnerContact(models.Model):
    """Where a new owner is reached. Beside the sealed event and not in it: it is erased when its term is over."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="contact")
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"{self.event_id}: {self.email} {self.phone}".strip()
