"""What an owner wants to be told by e-mail."""

from django.db import transaction

from jobs.audit import record
from jobs.models import NoMail


@transaction.atomic
def choose(*, job, only_essential):
    """Keep the owner's choice; it holds for all their jobs. Choosing what holds already leaves no trace."""
    if only_essential:
        _, changed = NoMail.objects.get_or_create(owner=job.owner)
    else:
        changed, _ = NoMail.objects.filter(owner=job.owner).delete()
    if changed:
        record(job, None, "The owner wants " + ("only essential messages" if only_essential else "all messages"))


def only_essential(owner):
    return NoMail.objects.filter(owner=owner).exists()
