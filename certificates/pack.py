"""The evidence pack: everything on file about certificates in one ZIP, checkable without this program.

`sha256sum -c SHA256SUMS` checks every file; `verify.py`, which needs nothing but Python, also computes
the seals again. README.txt inside says how.
"""

import json
import tempfile
import zipfile
from pathlib import Path

from certificates import lines
from certificates.canonical import canonical
from certificates.models import Certificate
from certificates.photos import run_photos
from certificates.seal import sha256_of
from testing.models import TestDay

_INSIDE = Path(__file__).parent / "pack_files"
_SUMS, _MANIFEST = "SHA256SUMS", "manifest.json"
# The same content gives the same ZIP.
_DATE = (1980, 1, 1, 0, 0, 0)


def written(subjects, *, made_for, made_at):
    """A temporary file with the pack of these certificates, at its beginning."""
    file = tempfile.TemporaryFile()  # noqa: SIM115  whoever sends it closes it
    sums, about = {}, []
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:

        def put(name, content):
            archive.writestr(zipfile.ZipInfo(name, _DATE), content, zipfile.ZIP_DEFLATED)
            sums[name] = sha256_of(content)

        for subject in subjects:
            about.append(_one(subject, put))
        for extra in sorted(_INSIDE.iterdir()):
            put(extra.name, extra.read_bytes())
        manifest = {"made_for": made_for, "made_at": made_at, "certificates": about, "files": dict(sums)}
        put(_MANIFEST, _json(manifest))
        lines_of_sums = "".join(f"{digest}  {name}\n" for name, digest in sorted(sums.items()))
        archive.writestr(zipfile.ZipInfo(_SUMS, _DATE), lines_of_sums, zipfile.ZIP_DEFLATED)
    file.seek(0)
    return file


def _one(subject, put):
    """Everything about one certificate, in a folder of its number."""
    sealed = isinstance(subject, Certificate)
    folder = f"{subject.number}/" if sealed else f"imported-{subject.pk}/"
    put(f"{folder}record.json", canonical(subject.record))
    events = list(subject.events.order_by("position"))
    for event in events:
        put(f"{folder}events/{event.position:06d}.json", canonical(event.record))
    missing = list(_sealed(subject, folder, put) if sealed else _paper(subject.pdf, f"{folder}paper.pdf", put))
    about = {
        "number": subject.number,
        "folder": folder,
        "state": lines.state_of(subject),
        "sealed_at_issue": sealed,
        "missing_files": missing,
        "events": [
            {
                "file": f"{folder}events/{event.position:06d}.json",
                "previous_seal": event.previous_seal,
                "seal": event.seal,
            }
            for event in events
        ],
    }
    if sealed:
        about |= {"position": subject.position, "previous_seal": subject.previous_seal, "seal": subject.seal}
        about["papers"] = {"certificate": subject.certificate_sha256, "report": subject.report_sha256}
    else:
        about["papers"] = {"paper": subject.pdf_sha256}
    return about


def _sealed(certificate, folder, put):
    yield from _paper(certificate.certificate_pdf, f"{folder}certificate.pdf", put)
    yield from _paper(certificate.report_pdf, f"{folder}report.pdf", put)
    job = certificate.job
    trail = [
        {"at": entry.at, "by": entry.by and entry.by.full_name, "what": entry.what, "details": entry.details}
        for entry in job.audit_entries.select_related("by").order_by("pk")
    ]
    put(f"{folder}audit-trail.json", _json(trail))
    for document in job.vehicle.documents.standing().order_by("pk"):
        yield from _paper(document.file, f"{folder}evidence/{document.pk}-{document.kind}{_ending(document)}", put)
    for day in TestDay.objects.filter(booking__job=job).order_by("pk"):
        for log in day.logs.order_by("pk"):
            yield from _paper(log.file, f"{folder}logs/{log.pk}.{log.kind}", put)
    for photo in run_photos(job):
        yield from _paper(photo.file, f"{folder}evidence/run-{photo.run.number}-{photo.pk}{_ending(photo)}", put)


def _ending(document):
    endings = {"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp", "application/pdf": ".pdf"}
    return endings.get(document.content_type, "")


def _paper(file, name, put):
    """Put a stored file into the pack; a file that is gone is named instead of stopping everything."""
    if not file:
        return
    try:
        with file.open("rb") as opened:
            put(name, opened.read())
    except OSError:
        yield name


def _json(data):
    return json.dumps(data, indent=1, ensure_ascii=False, default=str).encode()
