"""An estimate on paper, from what its version keeps."""

from django.template.loader import render_to_string

from jobs.workshop import paper


def filename(estimate):
    return f"{estimate.job.number}-estimate-{estimate.version}.pdf"


def render(estimate):
    """The bytes of the PDF."""
    html = render_to_string("jobs/estimate/pdf.html", {"estimate": estimate, "workshop": estimate.workshop})
    return paper.as_pdf(html, estimate.workshop, pdf_identifier=f"{estimate.pk}".encode())
