"""Links to the owner's page: found by their key, made anew, withdrawn."""

from django.db import transaction
from django.utils import timezone

from jobs.audit import record
from jobs.messages import letters
from jobs.models import OwnerLink
from jobs.models.job import new_token

KEY_LENGTH = len(new_token())


def standing(token):
    """The link with that key while it opens the page, else None. Wrong, expired and withdrawn look alike."""
    if len(token) != KEY_LENGTH:
        return None
    return OwnerLink.objects.standing().filter(token=token).select_related("job__vehicle", "job__owner").first()


@transaction.atomic
def make(*, job, by):
    """A new link; those that stand go on standing until they are withdrawn."""
    link = OwnerLink.objects.create(job=job, created_by=by)
    record(job, by, "New link to the owner's page", until=str(link.expires_at.date()))
    return link


@transaction.atomic
def withdraw(*, job, by, pk):
    """From now on the link opens nothing. Gives None when it was withdrawn already."""
    link = OwnerLink.objects.select_for_update().filter(job=job, pk=pk, revoked_at=None).first()
    if link is not None:
        link.revoked_at, link.revoked_by = timezone.now(), by
        link.save(update_fields=["revoked_at", "revoked_by"])
        record(job, by, "Link to the owner's page withdrawn")
    return link


@transaction.atomic
def post(*, job, by):
    """Send the newest standing link to the owner. Gives the message, or None without an e-mail or a link."""
    link = job.owner_links.standing().first()
    if link is None:
        return None
    return letters.send(job=job, event="link", by=by, facts={"until": link.works_until})
