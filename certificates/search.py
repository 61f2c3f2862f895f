"""Finding certificates in the register."""

from django.db.models import Q

from certificates.models import Certificate


def find(*, q="", issued_from=None, issued_to=None):
    """Certificates that have every word in number, plate, VIN or owner, issued between the days; newest first."""
    # The record is large and no line of the register shows it.
    found = Certificate.objects.defer("record").select_related("issued_by", "job__vehicle")
    for word in q.split():
        compact = word.replace("-", "")
        found = found.filter(
            Q(number__icontains=word)
            | Q(plate__icontains=compact)
            | Q(vin__icontains=compact)
            | Q(owner_name__icontains=word)
        )
    if issued_from:
        found = found.filter(issued_on__gte=issued_from)
    if issued_to:
        found = found.filter(issued_on__lte=issued_to)
    return found
