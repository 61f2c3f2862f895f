from django.db import models

from jobs.append_only import AppendOnly

from .outbox import OutboxMessage
from .people import User


class BouncedMessage(AppendOnly):
    """A message that the mail server took and that came back afterwards. Sent again, it may come back again."""

    # A word on an earlier sending says nothing of the last one.
    STANDS = models.Q(message__state=OutboxMessage.State.SENT, at__gt=models.F("message__sent_at"))

    message = models.ForeignKey(OutboxMessage, on_delete=models.PROTECT, related_name="bounces")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return self.reason
