"""Telling an owner that their certificate no longer stands."""

import logging

from django.core.mail import send_mail
from django.db import transaction

from certificates.models import Certificate
from jobs.audit import record

logger = logging.getLogger(__name__)
BY_MAIL, BY_HAND = "by e-mail", "no e-mail address on file: to be told by telephone or letter"


def tell_owner(subject, title, became, *, successor="", reason=""):
    """Write to the owner when the act is through. Returns how they are told, for the event."""
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
    transaction.on_commit(lambda: _send(subject.job, title, "\n\n".join(lines), owner.email))
    return BY_MAIL


def _send(job, title, text, to):
    try:
        send_mail(title, text, None, [to])
    except Exception:
        # The withdrawal stands whatever the mail server does; somebody must pick up the telephone.
        logger.exception("The owner of %s could not be written to", job.number)
        record(job, None, "The owner could not be told by e-mail; tell them otherwise", title=title)
