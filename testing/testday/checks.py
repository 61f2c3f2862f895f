"""Confirming what was looked at before driving, or letting it pass where the rules allow that."""

import uuid

from django.db import transaction

from jobs.audit import record
from testing.testday import instruments
from testing.testday.locking import locked_open
from testing.testday.models import Check, CheckException, KeptEntry
from testing.testday.procedure import lane_change
from testing.testday.refused import Refused

LONGEST_REASON = KeptEntry._meta.get_field("reason").max_length
LONGEST_NOTE = Check._meta.get_field("note").max_length


def confirmed(day):
    """Confirmed checks by key."""
    return {check.key: check for check in day.checks.select_related("by")}


def excepted(day):
    """Exceptions by key."""
    return {exception.key: exception for exception in day.exceptions.select_related("by")}


def missing(day, *, mass, at=None):
    """What runs at this mass still wait for, or waited for at that moment."""
    done = {check.key for check in day.checks.all() if at is None or check.when <= at}
    done |= {exception.key for exception in day.exceptions.all() if at is None or exception.at <= at}
    wanted = lane_change().keys(mass=mass)
    return [item for item in lane_change().checks if item.key in wanted and item.key not in done]


def unnamed(day, *, keys, notes):
    """Checks of an instrument that is neither booked from the register nor named in the note."""
    booked = instruments.booked(day)
    asked = [item for item in lane_change().checks if item.key in keys and item.instrument]
    return [item for item in asked if item.instrument not in booked and not notes.get(item.key, "").strip()]


@transaction.atomic
def confirm(*, day, keys, by, notes=None, done_at=None):
    """Confirm these checks, with name and time. What is confirmed already stays as it was.

    A note that comes with a second tick and says something else is kept for the engineer.
    """
    day = locked_open(day)
    known = {item.key for item in lane_change().checks}
    if strange := set(keys) - known:
        raise Refused(f"“{min(strange)[:40]}” is not a check of this sheet: reload it.")
    notes = {key: " ".join(note.replace("\x00", "").split()) for key, note in (notes or {}).items() if key in keys}
    for key, note in notes.items():
        if len(note) > LONGEST_NOTE:
            text = lane_change().item(key).text
            raise Refused(f"The note to “{text}” has {len(note)} characters. Allowed: {LONGEST_NOTE}.")
    done = confirmed(day)
    if nameless := [item for item in unnamed(day, keys=keys, notes=notes) if item.key not in done]:
        texts = "; ".join(f"“{item.text}”" for item in nameless)
        raise Refused(f"None is booked for {texts}. Write beside it: {instruments.ASKS.lower()}.")
    new = [key for key in dict.fromkeys(keys) if key not in done]
    for key in new:
        Check.objects.create(day=day, key=key, note=notes.get(key, ""), done_at=done_at, by=by)
    for key, note in notes.items():
        if note and key in done and note != done[key].note:
            _keep_note(day, done[key], note, by)
    if new:
        record(day.booking.job, by, f"{len(new)} checks confirmed", keys=new)
    return new


def _keep_note(day, check, note, by):
    text = lane_change().item(check.key).text
    reason = f"“{text}” was confirmed already by {check.by.full_name}; this came with a second tick: {note}"
    # The same note sent again is the same entry.
    mark = uuid.uuid5(uuid.NAMESPACE_OID, repr((day.pk, check.key, by.pk, note)))
    entry = {"check": check.key, "note": note}
    facts = {"day": day, "kind": "check", "entry": entry, "reason": reason[:LONGEST_REASON], "by": by}
    KeptEntry.objects.get_or_create(sent_as=mark, defaults=facts)


@transaction.atomic
def accept_exception(*, day, key, by, reason):
    """The engineer lets one check pass with a reason. Only where the procedure says when that may be."""
    day = locked_open(day)
    item = lane_change().item(key)
    if item is None or not item.exception:
        named = item.text if item else key[:40]
        raise Refused(f"“{named}” stops the day until it is met: the rules allow no exception.")
    if day.checks.filter(key=key).exists() or day.exceptions.filter(key=key).exists():
        raise Refused(f"“{item.text}” is settled already.")
    exception = CheckException.objects.create(day=day, key=key, reason=reason, by=by)
    record(day.booking.job, by, f"Exception accepted: {item.text}"[:200], reason=reason, rule=item.exception)
    return exception
