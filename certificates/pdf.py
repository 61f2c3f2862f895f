"""The two papers of a certificate. Each is a function of record, seal and photos: same input, same bytes."""

import warnings
from datetime import datetime

from django.template.loader import render_to_string

from certificates import plots, qr
from certificates.canonical import canonical
from certificates.stack import with_room
from vehicles.drawings import course_drawing

# Archivable (ISO 19005-3) and tagged, with data attached.
VARIANT = "pdf/a-3a"
DATA = "record.json"
# Above this many photos even a report without a test day is long enough for a table of contents.
MANY_PHOTOS = 6


def certificate(record, *, data=None, **sealed):
    """The paper that stands by itself, on one page unless its conditions or modifications are long.

    Limits and signature are kept together: what runs over never leaves the signature alone. ``data``:
    the canonical record, where the caller has written it already. Without a seal it is a draft.
    """
    return _written("certificates/pdf/certificate.html", record, data=data, **sealed)


def report(record, *, photos, data=None, **sealed):
    """The whole record for reading. Without a seal it is a draft and says so on every page."""
    return _written("certificates/pdf/report.html", record, data=data, photos=photos, **sealed)


def _written(template, record, *, data, seal="", previous_seal="", photos=None, open_points=0):
    html, pictures = laid_out(
        template, record, seal=seal, previous_seal=previous_seal, photos=photos, open_points=open_points
    )
    attachments = _attached(record, data or canonical(record)) if seal else ()
    return write(html, pictures, identifier=(seal or "draft").encode(), attachments=attachments)


def laid_out(template, record, *, seal="", previous_seal="", photos=None, open_points=0):
    """The page as HTML, and the pictures that it names: plots and photos only where photos are given.

    ``open_points``: how much still stops the signature of a draft. Its words are in the present tense of a
    certificate, and a paper that leaves the house has to say that they do not hold yet.
    """
    pictures = {f"photo:{digest}": ("image/jpeg", content) for digest, content in (photos or {}).items()}
    drawings = [*_check(record), *(() if photos is None else _plots(record))]
    pictures |= {name: ("image/svg+xml", svg) for name, svg in drawings}
    shown = [photo for photo in _photos(record) if f"photo:{photo['sha256']}" in pictures]
    context = {
        "record": record,
        "seal": seal,
        "previous_seal": previous_seal,
        "photos": shown,
        "draft": not seal,
        "open_points": open_points,
        "long": bool(record["test_days"]) or len(shown) > MANY_PHOTOS,
    }
    return render_to_string(template, context), pictures


def write(html, pictures, *, identifier, attachments=()):
    """The library's own rendering, with what makes it archivable."""
    # Imported here: it takes half a second, and most requests never make a PDF.
    from weasyprint import HTML

    page = HTML(string=html, base_url="record:", url_fetcher=only_these(pictures))
    with warnings.catch_warnings():
        # The library leaves its own colour profile to be closed by the garbage collector.
        warnings.simplefilter("ignore", ResourceWarning)
        archivable = {"pdf_variant": VARIANT, "pdf_identifier": identifier, "attachments": list(attachments)}
        return with_room(lambda: page.write_pdf(**archivable))


def _attached(record, data):
    """The canonical record: hashed behind the seal before it, these very bytes give the seal."""
    from weasyprint import Attachment

    issued = datetime.fromisoformat(record["issued_at"])
    return (
        Attachment(
            string=data,
            name=DATA,
            description=f"The sealed record of certificate {record['number']} as canonical JSON (RFC 8785)",
            created=issued,
            modified=issued,
            relationship="Data",
        ),
    )


def _photos(record):
    """Photos with their captions: those of the vehicle, then those taken of runs."""
    yield from (document for document in record["documents"] if document["kind"] == "photo")
    for day in record["test_days"]:
        for run in day["runs"]:
            for digest in run.get("photos", ()):
                yield {"sha256": digest, "caption": f"Run {run['number']}, {run['aimed_kmh']} km/h"}


def _check(record):
    if check := record.get("check"):
        yield "check:qr", qr.drawing(check["address"])


def _plots(record):
    for number, day in enumerate(record["test_days"], start=1):
        if course := day["work_up"].get("course"):
            svg = course_drawing(course).replace("<svg ", '<svg font-family="DejaVu Sans" ', 1)
            yield f"course:{number}", svg.encode()
        if svg := plots.climb(day):
            yield f"climb:{number}", svg.encode()
        for name, svg in plots.logged(day).items():
            yield f"{name}:{number}", svg.encode()


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
