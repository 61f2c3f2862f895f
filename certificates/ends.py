"""What the owner of a closed job reads, by how the certificate stands today and not by how the job was closed."""

from certificates import lines
from certificates.models.line import SUPERSEDED, WITHDRAWN
from jobs.owner_page import End

WORDS = {
    WITHDRAWN: End(
        title="Withdrawn",
        text="Your certificate was withdrawn: do not rely on it. Speak to us before you drive or sell the vehicle.",
    ),
    SUPERSEDED: End(
        title="No longer standing",
        text="Another certificate has taken the place of this one. Use only the newer one.",
    ),
}
ISSUED = End(title="Done", text="Your certificate is issued. Keep it with the vehicle's papers.", stands=True)


def for_owner(job):
    """Of the certificate issued last: a correction stands in place of what it corrects."""
    last = job.certificates.order_by("-position").prefetch_related("events").first()
    return last and WORDS.get(lines.state_of(last), ISSUED)


def against_none(job):
    """A job whose certificate is issued has not come to nothing."""
    if last := job.certificates.order_by("-position").first():
        yield f"Certificate {last.number} is issued: close the file with it."
