"""The two PDFs of a certificate, handed out only while they are byte for byte what was sealed."""

import io
from dataclasses import dataclass

from django.http import Http404

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
    """The stored bytes, and what is wrong with them. Read once: what is checked is what is handed out."""
    try:
        with getattr(certificate, f"{kind.key}_pdf").open("rb") as file:
            content = file.read()
    except (OSError, ValueError):
        return b"", f"the {kind.key} PDF is missing from the store"
    if sha256_of(content) != getattr(certificate, f"{kind.key}_sha256"):
        return b"", f"the {kind.key} PDF is not the one that was issued"
    return content, None


def for_owner(job):
    """The certificate and the report, once they are issued."""
    certificate = getattr(job, "certificate", None)
    for kind in KINDS if certificate else ():
        yield Paper(
            key=kind.key,
            title=f"{kind.title} {certificate.number}",
            filename=filename(certificate, kind),
            open=lambda kind=kind: io.BytesIO(read(certificate, kind)),
        )
