"""Confirming what was looked at before driving, or letting it pass where the rules allow that."""

import uuid
from collections import Counter

from django.db import transaction
from django.db.models import Q

from jobs.audit import record
from jobs.refused import Refused
from testing.testday import instruments
from testing.testday.locking import locked_open
from testing.testday.models import Check, CheckException, KeptEntry, TakenBack
from testing.testday.procedure import lane_change

LONGEST_REASON = KeptEntry._meta.get_field("reason").max_length
LONGEST_NOTE = Check._meta.get_field("note").max_length


def confirmed(day, at=None):
    """Checks by key that stand as confirmed, or stood at that moment."""
    return _standing(day.checks, at)


def excepted(day, at=None):
    """Exceptions by key that stand, or stood at that moment."""
    return _standing(day.exceptions, at)


def settled(day, at=None):
    """Checks that nothing waits for: confirmed, or let pass by an exception."""
    return confirmed(day, at) | excepted(day, at)


def _standing(rows, at):
    return {row.key: row for row in rows.select_related("by", "taken_back") if _stands(row, at)}


def _stands(row, at):
    back = getattr(row, "taken_back", None)
    if at is None:
        return back is None
    return row.when <= at and (back is None or back.at > at)


def taken_back(day):
    """What was taken back on this day, oldest first."""
    return (
        TakenBack.objects.filter(Q(confirmed__day=day) | Q(excepted__day=day))
        .select_related("by", "confirmed", "excepted")
        .order_by("pk")
    )


def missing(day, *, mass, at=None):
    """What runs at this mass still wait for, or waited for at that moment."""
    done = settled(day, at)
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

    A note that comes with a second tick and says something else is kept for the engineer; so is a tick
    that waited on a phone while the check was taken back.
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
    overtaken = _taken_back_since(day, done_at)
    new = [key for key in dict.fromkeys(keys) if key not in done and key not in overtaken]
    before = Counter(day.checks.values_list("key", flat=True))
    for key in new:
        note = notes.get(key, "")
        Check.objects.create(day=day, key=key, note=note, done_at=done_at, round=before[key] + 1, by=by)
    for key, note in notes.items():
        if note and key in done and note != done[key].note:
            first = f"was confirmed already by {done[key].by.full_name}; this came with a second tick: {note}"
            _keep(day, key, note, first, by)
    for key in overtaken.keys() & set(keys) - done.keys():
        # The same tick sent again is nothing new.
        if overtaken[key].by != by:
            _keep(day, key, notes.get(key, ""), "was ticked on a phone before it was taken back", by)
    if new:
        record(day.booking.job, by, f"{len(new)} checks confirmed", keys=new)
    return new


def _taken_back_since(day, moment):
    """Checks by key that were confirmed and taken back after that moment."""
    if moment is None:
        return {}
    return {check.key: check for check in day.checks.filter(taken_back__at__gte=moment).select_related("by")}


def _keep(day, key, note, why, by):
    """A tick that changes nothing but may say something, put aside for the engineer."""
    reason = f"“{lane_change().item(key).text}” {why}"
    # The same note sent again is the same entry.
    mark = uuid.uuid5(uuid.NAMESPACE_OID, repr((day.pk, key, by.pk, note)))
    entry = {"check": key, "note": note}
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
    if key in settled(day):
        raise Refused(f"“{item.text}” is settled already.")
    number = day.exceptions.filter(key=key).count() + 1
    exception = CheckException.objects.create(day=day, key=key, reason=reason, round=number, by=by)
    record(day.booking.job, by, f"Exception accepted: {item.text}"[:200], reason=reason, rule=item.exception)
    return exception


@transaction.atomic
def take_back(*, day, key, by, reason):
    """What was confirmed or excepted holds no longer: runs wait for it again. Anybody of the crew may say so."""
    day = locked_open(day)
    check, exception = confirmed(day).get(key), excepted(day).get(key)
    if check is None and exception is None:
        raise Refused("This check is not confirmed: there is nothing to take back.")
    back = TakenBack.objects.create(confirmed=check, excepted=None if check else exception, reason=reason, by=by)
    record(day.booking.job, by, f"Taken back: {lane_change().item(key).text}"[:200], reason=reason)
    return back
