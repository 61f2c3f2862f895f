"""The engineer's decision to go on after something stopped the climb: it lets go what the engineer knew of, no more."""

import hashlib
import json
from dataclasses import dataclass

from django.db import transaction

from jobs.audit import record
from jobs.refused import Refused
from testing.testday import ladder
from testing.testday.locking import locked_open
from testing.testday.models import MASSES, Release


@dataclass(frozen=True)
class Known:
    """Marks of the runs and stops that a phone knew of when the decision was taken on it."""

    runs: frozenset
    stops: frozenset


def seen(day, mass):
    """A digest of what somebody who looks at the sheet now decides about."""
    facts = [ladder.why_stopped(day, mass), day.runs.count(), day.stops.count(), day.settlements.count()]
    return hashlib.sha256(json.dumps(facts).encode()).hexdigest()[:16]


@transaction.atomic
def release(*, day, mass, by, reason, shown="", sent_as=None, decided_at=None, known=None):
    """Let the climb go on at a mass.

    ``shown`` is the digest of the page that the decision was taken on: what came since is read first.
    From a phone without reception it comes with its mark, the time of the decision and what the phone
    ``known`` by then; without that, what happened by that time counts as known.
    """
    if sent_as and (before := Release.objects.filter(sent_as=sent_as).first()):
        return before
    day = locked_open(day)
    step = _step(day, mass)
    if not step.stopped:
        raise Refused("The climb is not stopped at this mass: there is nothing to release.")
    if shown and shown != seen(day, mass):
        raise Refused(f"Something came in since you opened this page. Read it again and decide: {step.reason}")
    if any(ladder.contest_is_open(day, run) for run in day.runs.filter(struck=None).select_related("contests__struck")):
        raise Refused("Settle first which entries of the two phones are one run: something else may hide behind it.")
    # What stopped both masses is let go for both: one decision, one reason.
    told = set(ladder.why_stopped(day, mass))
    others = [one for one, _ in MASSES if one != mass and (why := ladder.why_stopped(day, one)) and set(why) <= told]
    facts = {"by": by, "reason": reason, "decided_at": decided_at, **_known(day, known, decided_at)}
    released = [_release(day, one, sent_as=sent_as if one == mass else None, **facts) for one in (mass, *others)]
    if (left := _step(day, mass)).stopped and left.reason == step.reason:
        raise Refused(f"What stops the runs came to light after this decision: {step.reason}")
    return released[0]


def _step(day, mass):
    return next(step for step in ladder.progress_of(day) if step.mass == mass)


def _known(day, known, decided_at):
    def knew(row, marks):
        if known is not None:
            return str(row.sent_as) in marks
        return decided_at is None or row.when <= decided_at

    runs = [run.number for run in day.runs.all() if knew(run, known and known.runs)]
    stops = [stop.pk for stop in day.stops.all() if knew(stop, known and known.stops)]
    return {"after_run": max(runs, default=0), "known_runs": runs, "known_stops": stops}


def _release(day, mass, *, by, reason, **facts):
    released = Release.objects.create(day=day, mass=mass, by=by, reason=reason, **facts)
    record(day.booking.job, by, f"{released.get_mass_display()}: climb goes on", reason=reason)
    return released
