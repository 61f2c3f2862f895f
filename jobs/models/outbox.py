from django.db import models

from jobs.append_only import AppendOnly

from .job import Job


class OutboxMessage(models.Model):
    """An e-mail that was decided on. It is written with the act that it tells of, and sent afterwards."""

    class State(models.TextChoices):
        TO_SEND = "to_send", "to send"
        SENT = "sent", "sent"
        FAILED = "failed", "failed for good"
        PRINTED = "printed", "printed where no mail server is set up"

    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="messages")
    kind = models.CharField(max_length=40)
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    body = models.TextField()
    key = models.CharField("what may be told only once", max_length=120, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.TO_SEND)
    due_at = models.DateTimeField()
    claimed_until = models.DateTimeField("somebody is sending it until then", null=True)
    written_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        constraints = [
            models.UniqueConstraint(fields=["key"], condition=~models.Q(key=""), name="told_only_once"),
        ]
        indexes = [
            # What `send_due` looks for.
            models.Index(fields=["due_at"], condition=models.Q(state="to_send"), name="outbox_due"),
        ]

    def __str__(self):
        return f"{self.kind} to {self.to}: {self.subject}"


class OutboxAttachment(models.Model):
    """A file that goes with a message, as it was when the message was written."""

    message = models.ForeignKey(OutboxMessage, on_delete=models.CASCADE, related_name="attachments")
    filename = models.CharField(max_length=80)
    content_type = models.CharField(max_length=80)
    content = models.BinaryField()

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return self.filename


class OutboxAttempt(AppendOnly):
    """One try to send a message. An empty problem means that the mail server took it."""

    message = models.ForeignKey(OutboxMessage, on_delete=models.PROTECT, related_name="attempts")
    at = models.DateTimeField(auto_now_add=True)
    problem = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return self.problem or "sent"
