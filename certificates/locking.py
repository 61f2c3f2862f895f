"""Certificates as they stand now, held still until the act ends."""

from certificates.models import Certificate, ImportedCertificate
from jobs.models import Job


def locked(*subjects):
    """Each of them read anew, in the order given.

    Jobs are locked before imports and each by key, whatever the order asked for: two acts over the
    same two certificates queue instead of waiting for one another.
    """
    jobs = {one.job_id for one in subjects if isinstance(one, Certificate)}
    list(Job.objects.select_for_update().filter(pk__in=jobs).order_by("pk"))
    imports = {one.pk for one in subjects if isinstance(one, ImportedCertificate)}
    list(ImportedCertificate.objects.select_for_update().filter(pk__in=imports).order_by("pk"))
    return [_anew(one) for one in subjects]


def _anew(subject):
    if isinstance(subject, Certificate):
        return Certificate.objects.select_related("job__owner", "line").get(pk=subject.pk)
    return ImportedCertificate.objects.select_related("line").get(pk=subject.pk)
