"""The file of a job: its years count from its closing, and what only served to reach the owner goes."""

from django.db.models import Exists, OuterRef, Subquery
from django.utils import timezone

from jobs import lines, steps
from jobs.audit import record
from jobs.models import (
    Job,
    MorningAnswer,
    NoMail,
    OfferedMorning,
    OutboxAttachment,
    OutboxMessage,
    Owner,
    OwnerLink,
    OwnerQuestion,
    OwnerWord,
)
from jobs.retention import rule
from jobs.retention.kinds import Kind, Part, Since, delete, empty_letters

ERASED = "Old file: erased what only served to reach the owner"
FOR_GOOD = (
    "the vehicle with its photos and papers",
    "the owner's name",
    "estimates and money noted",
    "the audit trail",
)


def _closed():
    return Job.objects.with_people().filter(stage=steps.DONE).order_by("stage_since", "pk")


def _withdraw(links, by):
    links.update(revoked_at=timezone.now(), revoked_by=by)


def _kept():
    """Jobs that are open or within their years."""
    return Job.objects.exclude(pk__in=rule.past(JOB).order_by().values("pk"))


def _reachable(job):
    """The owner, where this is the file closed last of those they have and none of the others is kept any longer."""
    last = Job.objects.filter(owner=OuterRef("pk")).order_by("-stage_since", "-pk").values("pk")[:1]
    owners = Owner.objects.exclude(phone="", email="").alias(last=Subquery(last)).filter(last=job)
    return owners.filter(~Exists(_kept().filter(owner=OuterRef("pk"))))


def _forget(owners, by):
    for owner in Owner.objects.select_for_update().filter(pk__in=[owner.pk for owner in owners]):
        owner.phone = owner.email = ""
        owner.save(update_fields=["phone", "email"])
        NoMail.objects.filter(owner=owner).delete()
        # What every file of the owner is found by holds the telephone as well.
        for job in owner.jobs.all():
            lines.touched(job)


def _still_reached(key):
    job = Job.objects.select_related("owner").get(pk=key)
    if not (job.owner.phone or job.owner.email) or _reachable(key).exists():
        return ""
    if younger := _kept().filter(owner=job.owner).first():
        return f"the owner has a younger file, {younger.number}"
    return f"they go with the file of the owner that was closed last, {_last(job.owner).number}"


def _last(owner):
    return owner.jobs.order_by("-stage_since", "-pk").first()


JOB = Kind(
    key="job",
    files=_closed,
    vehicle=lambda job: f"{job.vehicle.name} {job.vehicle.plate}",
    owner=lambda job: job.owner.name,
    note=lambda job, by, gone: record(job, by, ERASED, **gone),
    sinces=[Since(what="it was closed", rows=lambda job: Job.objects.filter(pk=job), day="stage_since__date")],
    parts=[
        Part(what="questions", rows=lambda job: OwnerQuestion.objects.filter(job=job), erase=delete),
        Part(what="mornings offered", rows=lambda job: OfferedMorning.objects.filter(job=job), erase=delete),
        Part(what="answers to mornings", rows=lambda job: MorningAnswer.objects.filter(job=job), erase=delete),
        Part(what="words", rows=lambda job: OwnerWord.objects.filter(job=job), erase=delete),
        Part(
            what="attachments of letters",
            rows=lambda job: OutboxAttachment.objects.filter(message__job=job),
            erase=delete,
        ),
        Part(
            what="addresses and texts of letters",
            rows=lambda job: OutboxMessage.objects.filter(job=job).exclude(to="", body=""),
            erase=empty_letters,
        ),
        Part(
            what="links to the owner's page",
            rows=lambda job: OwnerLink.objects.filter(job=job, revoked_at=None),
            erase=_withdraw,
        ),
        Part(what="telephone and e-mail of the owner", rows=_reachable, erase=_forget, stays=_still_reached),
    ],
)
