"""Mornings that a planner offers, and which of them the owner says no to.

The planner registers what it offers (`jobs.owner_page.register_mornings`) and asks here what was said.
"""

from django.db import transaction

from jobs.audit import record
from jobs.models import MorningAnswer


@transaction.atomic
def answer(*, job, offered, unsuitable, note=""):
    """Keep the owner's word on every morning that was offered; days nobody offered are left alone."""
    for morning in offered:
        MorningAnswer.objects.update_or_create(
            job=job, day=morning.day, defaults={"suits": morning.day not in unsuitable, "note": note}
        )
    no = sorted(str(morning.day) for morning in offered if morning.day in unsuitable)
    record(job, None, "The owner answered the mornings offered", unsuitable=no, note=note)


def answers(job):
    """Day → whether it suits the owner, for every day they were asked about."""
    return {row.day: row.suits for row in job.morning_answers.all()}


def unsuitable(job):
    """The days on which the owner said no."""
    return {day for day, suits in answers(job).items() if not suits}
