"""The receipt of booking in: what was written down, and what happens next. On paper, as PDF, by e-mail."""

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from jobs import outbox, steps
from jobs.audit import record
from jobs.models import Job


class NotSent(Exception):
    """The receipt cannot be e-mailed; the text says why."""


def contents(job):
    """Everything the receipt says. The steps ahead are those that this job may need."""
    current = None if job.done else steps.get(job.stage)
    return {
        "job": job,
        "modifications": list(job.vehicle.modifications.all()),
        "documents": list(job.vehicle.documents.all()),
        "news": current and current.owner_news(job),
        "ahead": [step for step in steps.all_steps() if current and step.order > current.order and step.applies(job)],
        "printed_at": timezone.now(),
    }


def as_pdf(job):
    # Imported here: it takes half a second, and most requests never make a PDF.
    from weasyprint import HTML

    html = render_to_string("jobs/pdf/receipt.html", contents(job))
    return HTML(string=html).write_pdf(pdf_variant="pdf/ua-1")


@transaction.atomic
def send(*, by, job):
    """Put the receipt into the outbox for the owner. Raises NotSent where there is no address to write to."""
    job = Job.objects.select_for_update(of=("self",)).select_related("vehicle", "owner").get(pk=job.pk)
    if not job.owner.email:
        raise NotSent("No e-mail of the owner is written down; print the receipt, or enter the address first.")
    attachment = outbox.Attachment(
        filename=f"receipt-{job.number}.pdf", content_type="application/pdf", content=as_pdf(job)
    )
    message = outbox.post(
        job=job,
        to=job.owner.email,
        subject=f"Your {job.vehicle.name} is booked in: job {job.number}",
        body=render_to_string("jobs/receipt.txt", contents(job)),
        kind="receipt",
        attachments=(attachment,),
    )
    if message is None:
        raise NotSent(f"“{job.owner.email}” is not an address that can be written to.")
    record(job, by, f"Receipt sent to {job.owner.email}")
    return message
