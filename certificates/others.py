"""Valid certificates of the same vehicle from other jobs. Two can be right; nobody should sign the second unaware."""

from certificates import search
from certificates.models import Certificate
from certificates.models.line import VALID


def of_same_vehicle(job):
    """Lines of the register that speak of this VIN and stand, newest first."""
    if not job.vehicle.vin:
        return []
    own = set(Certificate.objects.filter(job=job).values_list("pk", flat=True))
    found = search.page({"vin": job.vehicle.vin, "state": VALID}).lines
    return [line for line in found if line.vin == job.vehicle.vin and line.certificate_id not in own]
