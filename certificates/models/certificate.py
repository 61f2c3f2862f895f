from django.conf import settings
from django.db import models

from jobs.append_only import AppendOnly
from jobs.models import Job


class Certificate(AppendOnly):
    """A sealed certificate. ``record`` is all it says; ``seal`` chains it to the one before.

    The columns beside the record repeat what the register is searched by.
    """

    number = models.CharField(max_length=30, unique=True)
    position = models.PositiveIntegerField(unique=True)
    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="certificate")
    record = models.JSONField()
    previous_seal = models.CharField(max_length=64, unique=True)
    seal = models.CharField(max_length=64, unique=True)
    certificate_pdf = models.FileField(upload_to="certificates/", max_length=200)
    certificate_sha256 = models.CharField(max_length=64)
    report_pdf = models.FileField(upload_to="certificates/", max_length=200)
    report_sha256 = models.CharField(max_length=64)
    plate = models.CharField(max_length=10, blank=True, db_index=True)
    vin = models.CharField(max_length=17, blank=True, db_index=True)
    owner_name = models.CharField(max_length=120, db_index=True)
    issued_on = models.DateField(db_index=True)
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    issued_at = models.DateTimeField()

    class Meta:
        ordering = ["-position"]
        default_permissions = ()
        permissions = [("view_register", "Can read the register"), ("issue", "Can issue certificates")]

    def __str__(self):
        return self.number
