"""The two papers of a certificate. Each is a function of record, seal and photos: same input, same bytes."""

from django.template.loader import render_to_string

from vehicles.drawings import course_drawing


def certificate(record, *, seal, previous_seal):
    """One page that stands by itself."""
    return _pdf("certificates/pdf/certificate.html", record, seal=seal, previous_seal=previous_seal)


def report(record, *, seal="", previous_seal="", photos):
    """The whole record for reading. Without a seal it is a draft and says so on every page."""
    return _pdf("certificates/pdf/report.html", record, seal=seal, previous_seal=previous_seal, photos=photos)


def _pdf(template, record, *, seal, previous_seal, photos=None):
    # Imported here: it takes half a second, and most requests never make a PDF.
    from weasyprint import HTML

    pictures = {f"photo:{digest}": ("image/jpeg", content) for digest, content in (photos or {}).items()}
    pictures |= {f"course:{number}": ("image/svg+xml", svg) for number, svg in _courses(record)}
    shown = [d for d in record["documents"] if d["kind"] == "photo" and f"photo:{d['sha256']}" in pictures]
    html = render_to_string(
        template,
        {"record": record, "seal": seal, "previous_seal": previous_seal, "photos": shown, "draft": not seal},
    )
    return HTML(string=html, base_url="record:", url_fetcher=only_these(pictures)).write_pdf(
        pdf_variant="pdf/ua-1", pdf_identifier=(seal or "draft").encode()
    )


def _courses(record):
    for number, day in enumerate(record["test_days"], start=1):
        if course := day["work_up"].get("course"):
            svg = course_drawing(course).replace("<svg ", '<svg font-family="DejaVu Sans" ', 1)
            yield number, svg.encode()


def only_these(pictures):
    """Nothing is fetched but the pictures of this very record: no network, no file of the machine."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class Pictures(URLFetcher):
        def fetch(self, url, headers=None):
            if url not in pictures:
                raise ValueError(f"{url} is not a picture of this record")
            content_type, content = pictures[url]
            return URLFetcherResponse(url, content, {"Content-Type": content_type})

    return Pictures()
