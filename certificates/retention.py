"""How long what is kept, and erasing what is kept no longer.

Sealed records and their papers are kept for good: a chain with holes proves nothing. What was only
needed to reach the owner is erased when the time is over.
"""

from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

from django.db import transaction
from django.db.models import Max, Q
from django.utils import timezone

from certificates.models import NewOwnerContact
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
    what="Telephone number and e-mail address of the owner, and of a new owner noted later",
    years=7,
    why="Needed to tell the owner of a withdrawal while a certificate is in use.",
    source="common practice, no published source",
)


def contact():
    """How long an owner's telephone and address are kept: as long as the workshop keeps closed files."""
    return replace(CONTACT, years=Workshop.current().retention_years)


def rules():
    return (SEALED, contact())


def _last_day(today):
    return (today or timezone.localdate()) - timedelta(days=round(contact().years * 365.25))


def _begin(day):
    return timezone.make_aware(datetime.combine(day, time.min))


def due(*, today=None):
    """Closed jobs whose owner's contact is past its term: all certificates of that owner are older.

    A file counts from its certificate, one that was closed without a certificate from that day.
    """
    last_day = _last_day(today)
    jobs = Job.objects.filter(stage="done").select_related("owner")
    jobs = jobs.filter(~Q(owner__phone="") | ~Q(owner__email=""))
    jobs = jobs.annotate(
        latest=Max("owner__jobs__certificate__issued_on"),
        closed=Max("owner__jobs__stage_since"),
    )
    open_elsewhere = Job.objects.exclude(stage="done").values("owner")
    jobs = jobs.filter(Q(latest=None) | Q(latest__lt=last_day)).filter(closed__lt=_begin(last_day))
    return jobs.exclude(owner__in=open_elsewhere).order_by("pk")


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
    _new_owners(today)
    Draft.objects.filter(kept_at__lt=timezone.now() - timedelta(days=365)).delete()
    Visits.objects.all().delete()
    return len(owners)


def _new_owners(today):
    """Contacts noted with a change of ownership, and the letters that went to them, from the same day on."""
    last_day = _last_day(today)
    past = NewOwnerContact.objects.filter(
        Q(event__certificate__issued_on__lt=last_day) | Q(event__imported__issued_on__lt=last_day),
        event__at__lt=_begin(last_day),
    )
    for one in past.exclude(email=""):
        OutboxMessage.objects.filter(to=one.email, kind="certificate").update(to="")
    past.delete()
