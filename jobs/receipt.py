"""The receipt of booking in: what was written down, and what happens next. On paper, as PDF, by e-mail."""

from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from jobs import booking_step, steps
from jobs.audit import record
from jobs.messages import letters
from jobs.models import Job, Workshop
from jobs.refused import Refused
from jobs.workshop import paper
from jobs.workshop.addresses import absolute


def contents(job):
    """Everything the receipt says. The steps ahead are those that this job may need."""
    current = None if job.done else steps.get(job.stage)
    token = job.owner_token
    page = absolute(reverse("jobs:owner_page", args=[token])) if token else ""
    return {
        "job": job,
        "modifications": list(job.vehicle.modifications.all()),
        "documents": list(job.vehicle.documents.standing()),
        "news": current
        and (booking_step.after_booking(job) if current is booking_step.STEP else current.owner_news(job)),
        "ahead": [step for step in steps.all_steps() if current and step.order > current.order and step.applies(job)],
        "printed_at": timezone.now(),
        "workshop": Workshop.current(),
        "page": page,
        "page_code": paper.code_of(page) if page else "",
    }


def as_pdf(job):
    told = contents(job)
    return paper.as_pdf(render_to_string("jobs/pdf/receipt.html", told), told["workshop"])


@transaction.atomic
def send(*, by, job):
    """Put the receipt into the outbox for the owner. Raises Refused where there is no address to write to."""
    job = Job.objects.select_for_update(of=("self",)).select_related("vehicle", "owner").get(pk=job.pk)
    if not job.owner.email:
        raise Refused("No e-mail of the owner is written down; print the receipt, or enter the address first.")
    attachment = (f"receipt-{job.number}.pdf", "application/pdf", as_pdf(job))
    message = letters.send(job=job, event="booked_in", by=by, facts=_facts(job), attachments=[attachment])
    if message is None:
        raise Refused(f"“{job.owner.email}” is not an address that can be written to.")
    record(job, by, "Receipt sent to the owner")
    return message


def _facts(job):
    told = contents(job)
    news = told["news"]
    return {
        "modifications": _listed(told["modifications"]) or "- nothing is written down yet",
        "next": news.next if news else "The file is closed.",
        "asks": (_listed(news.asks) if news else "") or "- nothing for now",
    }


def _listed(items):
    return "\n".join(f"- {item}" for item in items)
