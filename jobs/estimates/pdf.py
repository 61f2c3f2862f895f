"""An estimate on paper, from what its version keeps."""

from django.template.loader import render_to_string


def filename(estimate):
    return f"{estimate.job.number}-estimate-{estimate.version}.pdf"


def render(estimate):
    """The bytes of the PDF. Nothing is fetched but the workshop's logo."""
    # Imported here: it takes half a second, and most requests never make a PDF.
    from weasyprint import HTML

    html = render_to_string("jobs/estimate/pdf.html", {"estimate": estimate, "workshop": estimate.workshop})
    return HTML(string=html, base_url="estimate:", url_fetcher=_only_logo(estimate.workshop)).write_pdf(
        pdf_variant="pdf/ua-1", pdf_identifier=f"{estimate.pk}".encode()
    )


def _only_logo(workshop):
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class Logo(URLFetcher):
        def fetch(self, url, headers=None):
            if url != "estimate:logo" or not workshop.logo:
                raise ValueError(f"{url} is not the workshop's logo")
            with workshop.logo.open("rb") as file:
                return URLFetcherResponse(url, file.read(), {"Content-Type": workshop.logo_type})

    return Logo()
