"""A signatory vouches that an edition was held against the current text."""

from django.db import transaction

from testing.models import EditionCheck
from testing.triage.editions import today_in


class CheckRefused(Exception):
    """The mark cannot be set; the text says why."""


@transaction.atomic
def mark_checked(*, edition, by, on, remark):
    """Set the mark, for good. A later check adds another mark."""
    if not by.authority_number:
        raise CheckRefused(f"{by.full_name} has no authority number: only a signatory marks an edition as checked.")
    if on > today_in(edition.jurisdiction):
        raise CheckRefused("The day of the check lies in the future.")
    signatory = f"{by.full_name}, {by.authority_number}"
    return EditionCheck.objects.create(edition=edition, by=by, on=on, remark=remark, signatory=signatory)
