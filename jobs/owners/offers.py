"""Mornings that the planner asks an owner about before anything is booked."""

from django.db import transaction
from django.utils import timezone

from jobs.audit import record
from jobs.messages import letters
from jobs.models import Job, OfferedMorning
from jobs.services import FileClosed


@transaction.atomic
def offer(*, job, by, mornings):
    """Ask the owner about these (day, text); they take the place of what was offered before. One letter for all."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise FileClosed(job)
    once = {}
    for day, text in mornings:
        once.setdefault(day, text)
    OfferedMorning.objects.filter(job=job).delete()
    OfferedMorning.objects.bulk_create(
        OfferedMorning(job=job, day=day, text=text[:200], by=by) for day, text in sorted(once.items())
    )
    listed = [once[day] for day in sorted(once)]
    record(job, by, f"Asked the owner about {len(listed)} morning{'s' * (len(listed) > 1)}", mornings=listed)
    letters.send(
        job=job, event="mornings_offered", by=by, facts={"mornings": "\n".join(f"- {text}" for text in listed)}
    )
    return listed


def of(job):
    """What the owner is asked about and has not gone by."""
    return list(job.offered_mornings.filter(day__gte=timezone.localdate()))


def unanswered(job):
    """The days among them that the owner has said nothing of."""
    said = set(job.morning_answers.values_list("day", flat=True))
    return [one.day for one in of(job) if one.day not in said]
