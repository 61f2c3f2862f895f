"""Who did what to the file of a certificate, and when, in one line of time."""

from dataclasses import dataclass
from datetime import datetime

from certificates.models import Certificate

# Said in a sentence of their own, or of no use to a reader.
_APART = {"schema", "position", "kind", "about", "by", "at", "audit", "answers", "drawn", "record_sha256", "sent_as"}


@dataclass(frozen=True, kw_only=True)
class Moment:
    """One thing that was done."""

    at: datetime
    by: str
    what: str
    details: tuple[tuple[str, str], ...] = ()


def timeline(subject):
    """Oldest first: the trail of the job's file, and the events of this certificate."""
    moments = []
    if isinstance(subject, Certificate):
        moments += [_entry(entry) for entry in subject.job.audit_entries.select_related("by").order_by("pk")]
    moments += [_event(event) for event in subject.events.select_related("by", "audit")]
    # Events are kept to the second: within one, the trail comes first, each in its own order.
    return sorted(moments, key=lambda moment: moment.at.replace(microsecond=0))


def _entry(entry):
    return Moment(
        at=entry.at,
        by=entry.by.full_name if entry.by else "no account",
        what=entry.what,
        details=tuple((name.replace("_", " "), _said(value)) for name, value in entry.details.items()),
    )


def _event(event):
    told = event.record.items()
    return Moment(
        at=event.at,
        by=event.by.full_name if event.by else "no account",
        what=f"{event.get_kind_display()}, event {event.position}" + (f", audit {event.audit}" if event.audit else ""),
        details=tuple((name.replace("_", " "), _said(value)) for name, value in told if name not in _APART),
    )


def _said(value):
    if isinstance(value, dict):
        return ", ".join(f"{key}: {_said(inner)}" for key, inner in value.items())
    if isinstance(value, list):
        return " → ".join(_said(inner) for inner in value) or "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "none" if value in (None, "") else str(value)
