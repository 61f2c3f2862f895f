"""The only place where a job changes its stage."""

from django.db import transaction
from django.utils import timezone

from jobs import steps
from jobs.audit import record
from jobs.models import Job
from jobs.refused import Refused


def _locked(job):
    return Job.objects.select_for_update().get(pk=job.pk)


def _set(job, key, by, what, **details):
    job.stage, job.stage_since = key, timezone.now()
    job.save(update_fields=["stage", "stage_since"])
    if job.done:
        # Before the trail hears of it: the letter about the certificate leads to the page.
        job.owner_links.all().count_from_now()
    record(job, by, what, **details)
    return job


@transaction.atomic
def move_on(job, *, by, expected):
    """Leave the current step when nothing stands in the way. Raises Refused with every reason otherwise.

    ``expected`` is the step that the person was looking at: pressing twice moves once.
    """
    job = _locked(job)
    if job.stage != expected or job.done:
        return job
    step = steps.get(job.stage)
    if blockers := list(step.blockers(job)):
        raise Refused(*(blocker.text for blocker in blockers))
    key = steps.after(step, job)
    title = "the file is closed" if key == steps.DONE else steps.get(key).title
    return _set(job, key, by, f"{step.title} done; next: {title}", left=step.key, entered=key)


def close_without(job, *, by, because, words):
    """Close without a certificate; jobs/endings.py holds the job and says why."""
    details = {"left": job.stage, "entered": steps.DONE, "without_certificate": because, "words": words}
    return _set(job, steps.DONE, by, f"Closed without a certificate: {because}", **details)


def open_again(job, *, to, by, reason, was):
    return _set(job, to, by, f"Opened again: {reason}", left=steps.DONE, entered=to, was=was)


@transaction.atomic
def send_back(job, *, to, by, reason):
    """Return to an earlier step. A closed file stays closed: what was sealed is not reopened."""
    job = _locked(job)
    if job.done or steps.get(to).order >= steps.get(job.stage).order:
        raise Refused(f"{job.number} cannot go back to {steps.get(to).title} from here.")
    return _set(job, to, by, f"Sent back to {steps.get(to).title}: {reason}", left=job.stage, entered=to)
