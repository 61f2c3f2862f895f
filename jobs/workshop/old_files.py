"""Closed files past the years they are kept: listed, and cleared one by one by somebody who keeps the workshop.

Cleared is only what served to reach the owner and to talk with them. Certificates, reports, the file of the
vehicle, estimates, money and the audit trail stay for good: a seal with holes proves nothing.
"""

from django.db import transaction
from django.utils import timezone

from jobs import lines, steps
from jobs.audit import record
from jobs.models import Job, NoMail, OutboxAttachment, Owner, Workshop
from jobs.refused import Refused

CLEARED = "Old file cleared of what only served to reach the owner"


def before():
    """What was closed before this moment is past its years."""
    now, years = timezone.now(), Workshop.current().retention_years
    try:
        return now.replace(year=now.year - years)
    except ValueError:  # 29 February
        return now.replace(year=now.year - years, day=28)


def past():
    """Closed jobs older than the workshop keeps them and not cleared yet, oldest first."""
    old = Job.objects.with_people().filter(stage=steps.DONE, stage_since__lt=before())
    return old.exclude(audit_entries__what=CLEARED).order_by("stage_since", "pk")


@transaction.atomic
def clear(*, job, by):
    """Clear one file; the trail says by whom and what went. Raises Refused for a file that is still kept."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    if not past().filter(pk=job.pk).exists():
        raise Refused(f"{job.number} is not past its years, or is cleared already.")
    gone = {
        "questions": job.owner_questions.all().delete()[0],
        "mornings offered": job.offered_mornings.all().delete()[0],
        "answers to mornings": job.morning_answers.all().delete()[0],
        "words": job.owner_words.all().delete()[0],
        "attachments": OutboxAttachment.objects.filter(message__job=job).delete()[0],
        "letters emptied": job.messages.update(to="", body=""),
        "links withdrawn": job.owner_links.filter(revoked_at=None).update(revoked_at=timezone.now(), revoked_by=by),
        "contact": _clear_contact(job),
    }
    record(job, by, CLEARED, **gone)
    return gone


def _clear_contact(job):
    """Telephone and e-mail go with the last file of the owner that is kept; the name stays on the papers."""
    owner = Owner.objects.select_for_update().get(pk=job.owner_id)
    if owner.jobs.exclude(pk=job.pk).exclude(stage=steps.DONE, stage_since__lt=before()).exists():
        return "kept: the owner has a younger file"
    owner.phone = owner.email = ""
    owner.save(update_fields=["phone", "email"])
    NoMail.objects.filter(owner=owner).delete()
    # What every other file of the owner is found by holds the telephone as well.
    for other in owner.jobs.all():
        lines.touched(other)
    return "telephone and e-mail erased"
