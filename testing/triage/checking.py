"""A signatory vouches that an edition was held against the current text."""

from django.db import transaction

from jobs.refused import Refused
from testing.models import EditionCheck
from testing.triage.editions import today_in


@transaction.atomic
def mark_checked(*, edition, by, on, remark):
    """Set the mark, for good. A later check adds another mark."""
    if not by.authority_number:
        raise Refused(f"{by.full_name} has no authority number: only a signatory marks an edition as checked.")
    if on > today_in(edition.jurisdiction):
        raise Refused("The day of the check lies in the future.")
    signatory = f"{by.full_name}, {by.authority_number}"
    return EditionCheck.objects.create(edition=edition, by=by, on=on, remark=remark, signatory=signatory)
