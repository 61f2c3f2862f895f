from django.conf import settings
from django.db import models
from django.urls import reverse

from jobs.append_only import AppendOnly


class ImportedCertificate(AppendOnly):
    """A certificate from before this system: as its line of the CSV tells it, with its PDF where there is one.

    It was not sealed when it was issued; from the import on, an Event seals what came in.
    """

    number = models.CharField(max_length=60, unique=True)
    record = models.JSONField()
    issued_on = models.DateField()
    pdf = models.FileField(upload_to="imported/", max_length=200, blank=True)
    pdf_sha256 = models.CharField(max_length=64, blank=True, db_index=True)
    imported_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    imported_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("certificates:imported", args=[self.pk])
