"""The owner's word on an estimate: opened, accepted or declined, with name and time."""

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format

from jobs.audit import record
from jobs.estimates.versions import KIND, latest_sent, state
from jobs.messages import letters
from jobs.models import EstimateEvent, Job
from jobs.owners import words
from jobs.refused import Refused


@transaction.atomic
def opened(estimate):
    """The owner has it on the screen. Only the first time is kept."""
    job = Job.objects.select_for_update().get(pk=estimate.job_id)
    if not estimate.events.filter(kind=KIND.OPENED).exists():
        EstimateEvent.objects.create(estimate=estimate, kind=KIND.OPENED)
        record(job, None, f"{estimate} opened by the owner")


@transaction.atomic
def decide(*, estimate, accept, name, note="", by=None):
    """Keep the owner's yes or no. ``by`` is whoever heard it, when it was not the owner's own page."""
    job = Job.objects.select_for_update().get(pk=estimate.job_id)
    if job.done:
        raise Refused(f"{job.number} is closed; nothing is left to decide.")
    if latest_sent(job) != estimate:
        raise Refused("This is not the estimate that was sent last. Look at the newest one.")
    standing = state(estimate)
    if standing in ("accepted", "declined"):
        raise Refused(f"This estimate is {standing} already. Ring the workshop if that is wrong.")
    if estimate.valid_until < timezone.localdate():
        raise Refused(f"This estimate held until {date_format(estimate.valid_until)}. Ask for a new one.")
    kind = KIND.ACCEPTED if accept else KIND.DECLINED
    event = EstimateEvent.objects.create(estimate=estimate, kind=kind, name=name, note=note, by=by)
    _tell(job, event)
    record(job, by, f"{estimate} {kind} by {name}"[:200], note=note)
    return event


def _tell(job, event):
    said = {"decision": event.kind, "name": event.name, "note": event.note or "none"}
    letters.send(job=job, event="estimate_decided", by=event.by, facts=said)
    if event.by:
        # Whoever heard it has noted it already; the desk is only told.
        letters.send_to_workshop(job=job, event="desk_estimate_decided", facts=said)
        return
    ask = "Go on." if event.kind == KIND.ACCEPTED else "Ring them."
    remark = f" “{event.note}”" if event.note else ""
    text = f"The owner {event.kind} version {event.estimate.version} of the estimate.{remark}"
    words.say(job=job, text=f"{words.shortened(text, 180)} {ask}", event="desk_estimate_decided", facts=said)
