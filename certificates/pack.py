"""The evidence pack: everything on file about certificates in one ZIP, checkable without this program.

`sha256sum -c SHA256SUMS` checks every file; `verify.py`, which needs nothing but Python, also computes
the seals again. README.txt inside says how.
"""

import json
import tempfile
import zipfile
from collections import defaultdict
from pathlib import Path

from django.db.models import Prefetch, prefetch_related_objects

from certificates import evidence, lines, old_files
from certificates.canonical import canonical
from certificates.models import Certificate
from certificates.moments import when
from certificates.seal import sha256_of
from jobs.audit import record
from jobs.models import AuditEntry
from testing.testday.models import LogFile, RunPhoto

_INSIDE = Path(__file__).parent / "pack_files"
_SUMS, _MANIFEST = "SHA256SUMS", "manifest.json"
# The same content gives the same ZIP.
_DATE = (1980, 1, 1, 0, 0, 0)


def note_taken(subjects, *, by, made_for):
    """Each job's trail says that everything about it left the house, once for each pack."""
    for job in {one.job_id: one.job for one in subjects if isinstance(one, Certificate)}.values():
        record(job, by, f"Evidence pack taken: {made_for}")


def written(subjects, *, made_for, made_at, audit=None):
    """A temporary file with the pack of these certificates, at its beginning."""
    _gather(subjects)
    file = tempfile.TemporaryFile()  # noqa: SIM115  whoever sends it closes it
    sums, about = {}, []
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:

        def put(name, content):
            archive.writestr(zipfile.ZipInfo(name, _DATE), content, zipfile.ZIP_DEFLATED)
            sums[name] = sha256_of(content)

        for subject in subjects:
            about.append(_one(subject, put))
        lost = list(_audit(audit, put)) if audit else []
        for extra in sorted(_INSIDE.iterdir()):
            put(extra.name, extra.read_bytes())
        manifest = {"made_for": made_for, "made_at": made_at, "audit": bool(audit), "lost": lost}
        manifest |= {"certificates": about, "files": dict(sums)}
        put(_MANIFEST, _json(manifest))
        lines_of_sums = "".join(f"{digest}  {name}\n" for name, digest in sorted(sums.items()))
        archive.writestr(zipfile.ZipInfo(_SUMS, _DATE), lines_of_sums, zipfile.ZIP_DEFLATED)
    file.seek(0)
    return file


def _gather(subjects):
    """Everything that is read of each, in as many questions for two hundred certificates as for one."""
    sealed = [one for one in subjects if isinstance(one, Certificate)]
    prefetch_related_objects([one for one in subjects if one not in sealed], "events")
    trail = Prefetch("job__audit_entries", AuditEntry.objects.select_related("by").order_by("pk"), to_attr="trail")
    prefetch_related_objects(sealed, "events", trail, "job__vehicle__documents")
    logs, photos = defaultdict(list), defaultdict(list)
    jobs = {one.job_id for one in sealed}
    for log in LogFile.objects.filter(day__booking__job__in=jobs).select_related("day__booking").order_by("pk"):
        logs[log.day.booking.job_id].append(log)
    shots = RunPhoto.objects.filter(run__day__booking__job__in=jobs)
    for photo in shots.select_related("run__day__booking").order_by("pk"):
        photos[photo.run.day.booking.job_id].append(photo)
    for one, words in old_files.kept_of(subjects).items():
        one.kept = words
    for one in sealed:
        one.packed_logs, one.packed_photos = logs[one.job_id], photos[one.job_id]


def _audit(audit, put):
    """The list that the sample was drawn from, so that anybody draws it again; yields what is missing."""
    about = {"number": audit.number, **audit.described, "drawn_at": when(audit.drawn_at)}
    put("audit/audit.json", _json(about))
    if audit.numbers_sha256:
        yield from _paper(audit.numbers, "audit/numbers.txt", put)


def _one(subject, put):
    """Everything about one certificate, in a folder of its number."""
    sealed = isinstance(subject, Certificate)
    folder = f"{subject.number}/" if sealed else f"imported-{subject.pk}/"
    put(f"{folder}record.json", canonical(subject.record))
    events = sorted(subject.events.all(), key=lambda event: event.position)
    for event in events:
        put(f"{folder}events/{event.position:06d}.json", canonical(event.record))
    missing = list(_sealed(subject, folder, put) if sealed else _paper(subject.pdf, f"{folder}paper.pdf", put))
    about = {
        "number": subject.number,
        "folder": folder,
        "state": lines.state_of(subject),
        "sealed_at_issue": sealed,
        "kept": subject.kept,
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
        for entry in job.trail
    ]
    put(f"{folder}audit-trail.json", _json(trail))
    sealed = evidence.sealed(certificate.record)
    for document in sorted(job.vehicle.documents.all(), key=lambda document: document.pk):
        # Set aside before it was sealed, it is no evidence; set aside later, the sealed record still names it.
        if document.set_aside_at and document.sha256 not in sealed:
            continue
        yield from _paper(document.file, f"{folder}evidence/{document.pk}-{document.kind}{_ending(document)}", put)
    for log in certificate.packed_logs:
        yield from _paper(log.file, f"{folder}logs/{log.pk}.{log.kind}", put)
    for photo in certificate.packed_photos:
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
