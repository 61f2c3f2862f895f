"""What stands on every paper of the workshop: its letterhead, and nothing fetched from anywhere."""


def as_pdf(html, workshop, **options):
    """The bytes of a PDF. Only the workshop's logo and what the page itself carries are drawn."""
    # Imported here: it takes half a second, and most requests never make a PDF.
    from weasyprint import HTML

    document = HTML(string=html, base_url="workshop:", url_fetcher=_only_own(workshop))
    return document.write_pdf(pdf_variant="pdf/ua-1", **options)


def code_of(address):
    """An address as a QR code for a phone, as an image that the page carries itself."""
    import segno

    return segno.make(address, error="m", micro=False).svg_data_uri(dark="#15233f", border=4, scale=3)


def _only_own(workshop):
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class Own(URLFetcher):
        def fetch(self, url, headers=None):
            if url.startswith("data:image/"):
                return super().fetch(url, headers)
            if url != "workshop:logo" or not workshop.logo:
                raise ValueError(f"{url} is not the workshop's logo")
            with workshop.logo.open("rb") as file:
                return URLFetcherResponse(url, file.read(), {"Content-Type": workshop.logo_type})

    return Own()
