from django.conf import settings
from django.db import models
from django.urls import reverse

from jobs.append_only import AppendOnly
from jobs.models import Job


class Certificate(AppendOnly):
    """A sealed certificate. ``record`` is all it says; ``seal`` chains it to the one before.

    The columns beside the record repeat what it is found by. A correction is a certificate of its
    own that ``replaces`` the one before; what happens later is an Event, never a change of this row.
    """

    number = models.CharField(max_length=60, unique=True)
    position = models.PositiveIntegerField(unique=True)
    job = models.ForeignKey(
        Job, on_delete=models.PROTECT, related_name="certificates", related_query_name="certificate"
    )
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    # Unguessable; leads to the public page that says whether the certificate stands.
    check_code = models.CharField(max_length=32, null=True, blank=True, unique=True)
    record = models.JSONField()
    previous_seal = models.CharField(max_length=64, unique=True)
    seal = models.CharField(max_length=64, unique=True)
    certificate_pdf = models.FileField(upload_to="certificates/", max_length=200)
    certificate_sha256 = models.CharField(max_length=64, db_index=True)
    report_pdf = models.FileField(upload_to="certificates/", max_length=200)
    report_sha256 = models.CharField(max_length=64, db_index=True)
    plate = models.CharField(max_length=10, blank=True)
    vin = models.CharField(max_length=17, blank=True)
    owner_name = models.CharField(max_length=120)
    issued_on = models.DateField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    issued_at = models.DateTimeField()

    class Meta:
        ordering = ["-position"]
        default_permissions = ()
        permissions = [
            ("view_register", "Can read the register"),
            ("issue", "Can issue certificates"),
            ("audit", "Can draw samples of the register and record findings"),
            ("bring_in", "Can import certificates from before this system"),
        ]
        constraints = [
            # With `replaces` unique, the certificates of a job form one line: exactly one is not replaced.
            models.UniqueConstraint(
                fields=["job"], condition=models.Q(replaces__isnull=True), name="one_first_certificate_per_job"
            ),
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("certificates:certificate", args=[self.number])
