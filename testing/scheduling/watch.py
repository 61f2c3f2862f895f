"""What has to be looked at again and again: forecasts, holds, bookings at risk, letters that are due, old drafts.

Every piece is a transaction of its own and asks the database what is left to do: it can be killed anywhere and
run again, or run twice at once.
"""

from datetime import timedelta

from django.utils import timezone

from jobs import drafts, lines, outbox
from jobs.models import User
from testing.models import Booking
from testing.scheduling import bookings, go, refresh, risk

EVE = timedelta(hours=20)


def watch(say, *, now=None):
    """One round. ``say`` takes a sentence for whatever was done."""
    now = now or timezone.now()
    for site, problem in refresh.refresh_all(now=now):
        say(f"{site}: {problem or 'forecast fetched'}.")
    if count := bookings.clear_run_out_holds():
        say(f"{count} holds ran out and were cleared.")
    for booking in risk.look_at(now=now):
        say(f"At risk: {booking.job.number}, {booking}.")
    for booking in at_risk():
        tell_engineers("at_risk", booking, key=f"at_risk {booking.pk} {booking.at_risk_since:%Y%m%dT%H%M%S.%f}")
    for booking in on_the_eve(now):
        if tell_engineers("eve", booking, key=f"eve {booking.pk}"):
            say(f"Go or no-go is due: {booking.job.number}, {booking}.")
    drafts.sweep()
    lines.catch_up_all()
    # What was written in this very round is due as well.
    sent, failed = outbox.send_due(max(now, timezone.now()))
    if sent or failed:
        say(f"{sent} messages sent, {failed} to be tried again.")


def _people(rows):
    return rows.select_related("site", "driver", "job__vehicle", "job__owner")


def at_risk():
    """Standing bookings that something speaks against."""
    return _people(Booking.objects.standing().exclude(risk="").exclude(at_risk_since=None))


def on_the_eve(now):
    """Confirmed bookings that begin within the next hours and still wait for a word."""
    rows = Booking.objects.standing().filter(held_until=None, starts_at__gt=now, starts_at__lte=now + EVE)
    return _people(rows.filter(decisions=None))


def tell_engineers(kind, booking, *, key):
    """One message to each engineer with an address; what was told under this key is not told again."""
    told = 0
    for user in User.objects.filter(groups__name="engineer", is_active=True).exclude(email="").distinct():
        subject, body = _WORDS[kind](booking)
        key_ = f"{key} {user.pk}"
        told += bool(outbox.post(job=booking.job, to=user.email, kind=kind, subject=subject, body=body, key=key_[:120]))
    return told


def _at_risk_words(booking):
    return (
        f"At risk: {booking.job.number}, {booking.when}",
        f"{booking}\n\n{booking.risk}\n\nMove it, cancel it, or wait for a better forecast.\n",
    )


def _eve_words(booking):
    found = go.conditions_for_go(booking.job, booking)
    lines = [f"- {c.title}: {c.verdict.replace('_', ' ')}. {c.text}" for c in found]
    return f"Go or no-go: {booking.job.number}, {booking.when}", f"{booking}\n\n" + "\n".join(lines) + "\n"


_WORDS = {"at_risk": _at_risk_words, "eve": _eve_words}
