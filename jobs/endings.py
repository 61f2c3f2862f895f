"""Closing a job without a certificate, and opening it again. Apps above let go of what they hold for it."""

from django.db import transaction

from jobs import stages, steps
from jobs.models import Ending, Job, OfferedMorning, Waiting
from jobs.refused import Refused
from jobs.services import FileClosed

# What the owner reads; the desk's own words stay in the file.
FOR_OWNER = {
    "declined": "You told us that you do not want to go on.",
    "not_brought": "The vehicle was not brought in.",
    "given_up": "The vehicle did not pass, and no further test is planned.",
    "not_possible": "The vehicle cannot be certified as it is.",
    "mistake": "The file was opened by mistake.",
    "other": "Ask us why if you do not know.",
}

_lets_go = []
_against = []


def register(*, let_go=None, against=None):
    """`let_go(job, by)` frees what is held for the job; `against(job)` yields sentences that forbid the act."""
    if let_go:
        _lets_go.append(let_go)
    if against:
        _against.append(against)


def of(job):
    """Why the job was closed without a certificate, or None."""
    return getattr(job, "ending", None)


@transaction.atomic
def close(*, job, by, reason, words=""):
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise FileClosed(job)
    if reasons := [text for source in _against for text in source(job)]:
        raise Refused(*reasons)
    for let_go in _lets_go:
        let_go(job, by)
    # Letting go of a morning may have sent the job back: where it stands now is where it begins again.
    job.refresh_from_db()
    ending = Ending.objects.create(job=job, reason=reason, words=words, stage=job.stage, by=by)
    OfferedMorning.objects.filter(job=job).delete()
    Waiting.objects.filter(job=job).delete()
    stages.close_without(job, by=by, because=str(ending), words=words)
    return ending


@transaction.atomic
def open_again(*, job, by, reason):
    job = Job.objects.select_for_update().get(pk=job.pk)
    ending = of(job)
    if not job.done or ending is None:
        raise Refused(f"{job.number} was not closed without a certificate: there is nothing to open again.")
    stages.open_again(job, to=ending.stage, by=by, reason=reason, was=str(ending))
    ending.delete()
    return job


def states(job):
    """(step, state) for every step that the job needs or went through; what was never reached says so."""
    ending = of(job) if job.done else None
    at = steps.get(ending.stage if ending else job.stage) if ending or not job.done else None
    for step in steps.all_steps():
        if not step.applies(job):
            yield step, "not needed"
        elif at is None or step.order < at.order:
            yield step, "done"
        elif ending:
            yield step, "ended here" if step is at else "not reached"
        else:
            yield step, "now" if step is at else "later"
