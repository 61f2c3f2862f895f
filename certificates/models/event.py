from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.append_only import AppendOnly

from .audit import Audit
from .certificate import Certificate
from .imported import ImportedCertificate

SUPERSEDED, WITHDRAWN, TRANSFERRED = "superseded", "withdrawn", "transferred"
IMPORTED, SAMPLED, FINDING, FOLLOW_UP, ERASED = "imported", "sampled", "finding", "follow_up", "erased"
KINDS = [
    (SUPERSEDED, "Superseded"),
    (WITHDRAWN, "Withdrawn"),
    (TRANSFERRED, "Change of ownership noted"),
    (IMPORTED, "Imported"),
    (SAMPLED, "Drawn for audit"),
    (FINDING, "Finding"),
    (FOLLOW_UP, "Follow-up"),
    (ERASED, "Contact erased"),
]


class Event(AppendOnly):
    """Something that happened to a certificate after it was issued, sealed behind the event before."""

    position = models.PositiveIntegerField(unique=True)
    kind = models.CharField(max_length=12, choices=KINDS)
    certificate = models.ForeignKey(Certificate, null=True, blank=True, on_delete=models.PROTECT, related_name="events")
    imported = models.ForeignKey(
        ImportedCertificate, null=True, blank=True, on_delete=models.PROTECT, related_name="events"
    )
    audit = models.ForeignKey(Audit, null=True, blank=True, on_delete=models.PROTECT, related_name="events")
    answers = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="answered_by")
    record = models.JSONField()
    previous_seal = models.CharField(max_length=64, unique=True)
    seal = models.CharField(max_length=64, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    # The mark of the form: a form sent twice is one act.
    sent_as = models.UUIDField(null=True, blank=True, unique=True)

    class Meta:
        ordering = ["position"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                name="event_of_one_certificate",
                condition=Q(certificate__isnull=False, imported__isnull=True)
                | Q(certificate__isnull=True, imported__isnull=False),
            ),
            *(
                models.UniqueConstraint(
                    fields=[subject],
                    condition=Q(kind=kind, **{f"{subject}__isnull": False}),
                    name=f"{subject}_{kind}_once",
                )
                for subject in ("certificate", "imported")
                for kind in (SUPERSEDED, WITHDRAWN)
            ),
            models.UniqueConstraint(
                fields=["audit", "certificate"],
                condition=Q(kind=SAMPLED, certificate__isnull=False),
                name="certificate_sampled_once_an_audit",
            ),
            models.UniqueConstraint(
                fields=["audit", "imported"],
                condition=Q(kind=SAMPLED, imported__isnull=False),
                name="imported_sampled_once_an_audit",
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()} ({self.position})"

    @property
    def subject(self):
        return self.certificate or self.imported

    @property
    def closed(self):
        """A finding is closed by a follow-up that says so."""
        return any(answer.record.get("closes") for answer in self.answered_by.all())
