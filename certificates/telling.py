"""Telling an owner that their certificate no longer stands, by the outbox of the house."""

from certificates.models import Certificate
from jobs import outbox

BY_MAIL = "told by e-mail"
BY_HAND = "to be told by telephone or letter, there is no e-mail address on file"


def tell_owner(subject, became, *, successor="", reason=""):
    """Write to the owner within the act. Returns how they are told, for the event."""
    owner = subject.job.owner if isinstance(subject, Certificate) else None
    if owner is None or not owner.email:
        return BY_HAND
    lines = [f"The certificate {subject.number} for your vehicle is {became}."]
    if successor:
        lines.append(f"Certificate {successor} takes its place. Please use only that one.")
    if reason:
        lines.append(f"Reason: {reason}")
        lines.append("Do not rely on it. Please speak to us before you drive or sell the vehicle.")
    lines.append("Your owner's page shows this as well.")
    message = outbox.post(
        job=subject.job,
        to=owner.email,
        subject=f"Certificate {subject.number} is {became}",
        body="\n\n".join(lines),
        kind="certificate",
    )
    return BY_MAIL if message else BY_HAND
