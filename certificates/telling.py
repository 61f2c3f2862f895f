"""Telling whose vehicle it is now that its certificate no longer stands, by the outbox of the house."""

from certificates.models import Certificate, Event
from certificates.models.event import TRANSFERRED
from jobs import outbox

BY_MAIL = "told by e-mail"
BY_HAND = "to be told by telephone or letter, there is no e-mail address on file"


def tell_owner(subject, became, *, successor="", reason=""):
    """Write to the owner within the act. Returns how they are told, for the event.

    After a noted change of ownership it is the new owner's matter, and nobody else's.
    """
    handed_on = last_transfer(subject)
    address = _address(subject, handed_on)
    new_owner = handed_on and handed_on.record["new_owner"]
    by_hand = f"to be told by telephone or letter: {new_owner}" if handed_on else BY_HAND
    if not address:
        return by_hand
    lines = [f"The certificate {subject.number} for your vehicle is {became}."]
    if successor:
        lines.append(f"Certificate {successor} takes its place. Please use only that one.")
    if reason:
        lines.append(f"Reason: {reason}")
        lines.append("Do not rely on it. Please speak to us before you drive or sell the vehicle.")
    if not handed_on:
        lines.append("Your owner's page shows this as well.")
    message = outbox.post(
        job=subject.job if isinstance(subject, Certificate) else None,
        to=address,
        subject=f"Certificate {subject.number} is {became}",
        body="\n\n".join(lines),
        kind="certificate",
    )
    if message is None:
        return by_hand
    return f"{BY_MAIL}: {new_owner}" if handed_on else BY_MAIL


def last_transfer(subject):
    """The last noted change of ownership of the vehicle, whichever certificate of the job it was noted beside."""
    about = {"certificate__job": subject.job_id} if isinstance(subject, Certificate) else {"imported": subject}
    noted = Event.objects.filter(kind=TRANSFERRED, **about).select_related("contact")
    # People write down the older of two changes later: the day counts, and then the order.
    return max(noted, key=lambda event: (event.record["transferred_on"], event.position), default=None)


def _address(subject, handed_on):
    if handed_on:
        contact = getattr(handed_on, "contact", None)
        return contact.email if contact else ""
    return subject.job.owner.email if isinstance(subject, Certificate) else ""
