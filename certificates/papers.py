"""The two PDFs of a certificate, handed out only while they are byte for byte what was sealed."""

import io
from dataclasses import dataclass

from django.core.files.storage import default_storage
from django.http import Http404

from certificates import lines
from certificates.models import Certificate
from certificates.models.line import VALID
from certificates.seal import sha256_of
from jobs.audit import record
from jobs.owner_page import Paper


class PaperChanged(Http404):
    """The stored file is missing or is not what was issued; it must not leave the house."""


@dataclass(frozen=True, kw_only=True)
class Kind:
    key: str
    title: str


CERTIFICATE = Kind(key="certificate", title="Certificate")
REPORT = Kind(key="report", title="Report")
KINDS = (CERTIFICATE, REPORT)


def filename(certificate, kind):
    return f"{certificate.number}-{kind.key}.pdf"


def fault(certificate, kind):
    """What is wrong with the stored file, in words; None when it is what was issued."""
    return _checked(certificate, kind)[1]


def read(certificate, kind, *, by=None):
    """The bytes that were issued. Anything else is written into the trail and raises PaperChanged."""
    content, found = _checked(certificate, kind)
    if found:
        record(certificate.job, by, "A paper was asked for and held back", certificate=certificate.number, why=found)
        raise PaperChanged(f"{certificate.number}: {found}.")
    return content


def _checked(certificate, kind):
    file, digest = getattr(certificate, f"{kind.key}_pdf"), getattr(certificate, f"{kind.key}_sha256")
    return _compared(file, digest, f"the {kind.key} PDF", "issued")


def _compared(file, digest, called, came):
    """The stored bytes, and what is wrong with them. Read once: what is checked is what is handed out."""
    try:
        with file.open("rb") as opened:
            content = opened.read()
    except (OSError, ValueError):
        return b"", f"{called} is missing from the store"
    if sha256_of(content) != digest:
        return b"", f"{called} is not the one that was {came}"
    return content, None


def strays():
    """Names of stored PDFs that no certificate owns. They were never issued."""
    if not default_storage.exists("certificates"):
        return []
    owned = {name for names in Certificate.objects.values_list("certificate_pdf", "report_pdf") for name in names}
    stored = (f"certificates/{name}" for name in default_storage.listdir("certificates")[1])
    return sorted(name for name in stored if name not in owned)


def imported_fault(imported):
    return _compared(imported.pdf, imported.pdf_sha256, "the PDF", "imported")[1] if imported.pdf_sha256 else None


def read_imported(imported):
    """The bytes that were imported; anything else raises PaperChanged."""
    content, found = _compared(imported.pdf, imported.pdf_sha256, "the PDF", "imported")
    if found:
        raise PaperChanged(f"{imported.number}: {found}.")
    return content


def for_owner(job):
    """Certificate and report of the job, the standing one first. What no longer stands says so in its title."""
    certificates = job.certificates.order_by("-position").prefetch_related("events")
    for certificate in certificates:
        state = lines.state_of(certificate)
        for kind in KINDS:
            key = kind.key if certificate == certificates[0] else f"{kind.key}-{certificate.position}"
            title = f"{kind.title} {certificate.number}"
            yield Paper(
                key=key,
                title=title if state == VALID else f"{state.capitalize()}: {title}",
                filename=filename(certificate, kind),
                open=lambda certificate=certificate, kind=kind: io.BytesIO(read(certificate, kind)),
            )
