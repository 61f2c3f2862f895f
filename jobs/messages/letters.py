"""Writing to owners and to the desk. The outbox sends; this module words."""

from django.urls import reverse

from jobs import outbox
from jobs.messages import wording
from jobs.models import NoMail, Workshop
from jobs.workshop.addresses import absolute


def send(*, job, event, by=None, facts=None, attachments=(), key=None):
    """Word the event for the owner of the job and post it. Gives the message, or None when none can go.

    ``attachments`` are (file name, content type, bytes). Call it inside the transaction of the act.
    """
    about = wording.event(event)
    if not about.essential and NoMail.objects.filter(owner=job.owner_id).exists():
        return None
    subject, body = worded(about, job, facts)
    if not about.essential and (token := job.owner_token):
        address = absolute(reverse("jobs:owner_mail", args=[token]))
        body += f"\n\nTo get only what the job cannot do without: {address}"
    return _post(job, job.owner.email, about, subject, body, attachments, key)


def send_to_workshop(*, job, event, facts=None):
    about = wording.event(event)
    subject, body = worded(about, job, facts)
    return _post(job, Workshop.current().email, about, subject, body, (), None)


def worded(about, job, facts=None):
    """(subject, body) with every place filled."""
    facts = {**common_facts(job), **(facts or {})}
    return tuple(wording.fill(text, facts) for text in wording.text_of(about.key))


def common_facts(job):
    workshop, token = Workshop.current(), job.owner_token
    return {
        "owner": job.owner.name,
        "vehicle": job.vehicle.name,
        "plate": job.vehicle.plate or "no plate",
        "job": job.number,
        "page": absolute(reverse("jobs:owner_page", args=[token])) if token else "(ask us for a new address)",
        "workshop": workshop.name or "The workshop",
        "phone": workshop.phone,
    }


def _post(job, to, about, subject, body, attachments, key):
    if not to:
        return None
    files = [
        outbox.Attachment(filename=filename, content_type=content_type, content=content)
        for filename, content_type, content in attachments
    ]
    return outbox.post(job=job, to=to, subject=subject, body=body, kind=about.key, attachments=files, key=key)
