"""The preparation sheet for the owner, as a PDF."""

from django.template.loader import render_to_string

from jobs import outbox
from jobs.owner_page import Paper
from testing.scheduling.habits import habits
from testing.scheduling.locking import standing_booking

KEY = "preparation-sheet"


def pdf(booking):
    """The bytes of the sheet. Nothing is fetched: it has no pictures and no outside styles."""
    # Imported here: it takes half a second, and most requests never make a PDF.
    from weasyprint import HTML

    html = render_to_string(
        "testing/scheduling/preparation_sheet.html",
        {"booking": booking, "job": booking.job, "items": habits()["preparation"], "bring": to_bring(booking.job)},
    )
    return HTML(string=html, base_url="sheet:").write_pdf(pdf_variant="pdf/ua-1")


def to_bring(job):
    """What the owner is asked for: the same lines as on their page."""
    from testing.scheduling.step import TO_BRING

    return TO_BRING


def filename(booking):
    return f"preparation-{booking.job.number}.pdf"


def papers(job):
    """The owner takes the sheet home from their page while a day is booked."""
    booking = standing_booking(job)
    if booking is None or booking.held_until or job.done:
        return
    yield Paper(key=KEY, title="Preparation sheet", filename=filename(booking), open=lambda: iter([pdf(booking)]))


def attachments(message):
    """The sheet as it stands when the owner's message leaves."""
    booking = message.job and standing_booking(message.job)
    if booking is None or booking.held_until:
        return
    yield outbox.Attachment(filename=filename(booking), content_type="application/pdf", content=pdf(booking))
