"""Mornings that a planner offers, and which of them the owner says no to.

The planner registers what it offers (`jobs.owner_page.register_mornings`) and asks here what was said.
"""

from django.db import transaction
from django.utils.formats import date_format

from jobs.audit import record
from jobs.models import Job, MorningAnswer
from jobs.owners import words


@transaction.atomic
def answer(*, job, offered, unsuitable, note=""):
    """Keep the owner's word on every morning that was offered; days nobody offered are left alone.

    Gives False of a job that was closed meanwhile: nothing is planned for it, and nobody is to take it up again.
    """
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done or not offered:
        return False
    for morning in offered:
        MorningAnswer.objects.update_or_create(
            job=job, day=morning.day, defaults={"suits": morning.day not in unsuitable, "note": note}
        )
    no = sorted(str(morning.day) for morning in offered if morning.day in unsuitable)
    _tell(job, [morning for morning in offered if morning.day in unsuitable], note)
    record(job, None, "The owner answered the mornings offered", unsuitable=no, note=note)
    return True


def _tell(job, no, note):
    said = (
        f"The owner cannot on {_days(no)}: find another morning."
        if no
        else "Every morning offered suits the owner: book one."
    )
    words.say(
        job=job,
        text=f"{said}{f' “{note}”' if note else ''}",
        event="desk_mornings",
        facts={"unsuitable": _days(no) or "none", "note": note or "none"},
    )


def _days(mornings):
    return ", ".join(date_format(morning.day, "D j M") for morning in mornings)


def answers(job):
    """Day → whether it suits the owner, for every day they were asked about."""
    return {row.day: row.suits for row in job.morning_answers.all()}


def unsuitable(job):
    """The days on which the owner said no."""
    return {day for day, suits in answers(job).items() if not suits}
