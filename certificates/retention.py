"""How long what is kept, and erasing what is kept no longer.

Sealed records and their papers are kept for good: a chain with holes proves nothing. What was only
needed to reach the owner is erased when the time is over.
"""

from dataclasses import dataclass, replace
from datetime import timedelta

from django.db import transaction
from django.db.models import Max, Q
from django.utils import timezone

from jobs.audit import record
from jobs.models import Draft, Job, OutboxMessage, Owner, Visits, Workshop


@dataclass(frozen=True, kw_only=True)
class Rule:
    """What is kept, how long in years (None: for good), why, and where that comes from."""

    what: str
    years: int | None
    why: str
    source: str


SEALED = Rule(
    what="Certificates, reports, events, audit trail, photos and logs of the file",
    years=None,
    why="A vehicle may be on the road, and in dispute, for longer than any term; the seals need every record.",
    source="common practice, no published source",
)
CONTACT = Rule(
    what="Telephone number and e-mail address of the owner",
    years=7,
    why="Needed to tell the owner of a withdrawal while a certificate is in use.",
    source="common practice, no published source",
)


def contact():
    """How long an owner's telephone and address are kept: as long as the workshop keeps closed files."""
    return replace(CONTACT, years=Workshop.current().retention_years)


def rules():
    return (SEALED, contact())


def due(*, today=None):
    """Closed jobs whose owner's contact is past its term: all certificates of that owner are older."""
    today = today or timezone.localdate()
    last_day = today - timedelta(days=round(contact().years * 365.25))
    jobs = Job.objects.filter(stage="done").select_related("owner")
    jobs = jobs.filter(~Q(owner__phone="") | ~Q(owner__email=""))
    jobs = jobs.annotate(latest=Max("owner__jobs__certificate__issued_on"))
    open_elsewhere = Job.objects.exclude(stage="done").values("owner")
    return jobs.filter(latest__lt=last_day).exclude(owner__in=open_elsewhere).order_by("pk")


@transaction.atomic
def erase(*, by=None, today=None):
    """Erase what is past its term. Returns how many owners were touched; each trail says so."""
    owners, years = set(), contact().years
    for job in due(today=today):
        owner = Owner.objects.select_for_update().get(pk=job.owner_id)
        owners.add(owner.pk)
        owner.phone = owner.email = ""
        owner.save(update_fields=["phone", "email"])
        OutboxMessage.objects.filter(job__owner=owner).update(to="")
        record(job, by, "Owner's telephone and e-mail erased: their term of keeping is over", years=years)
    Draft.objects.filter(kept_at__lt=timezone.now() - timedelta(days=365)).delete()
    Visits.objects.all().delete()
    return len(owners)
