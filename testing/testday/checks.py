"""Confirming what was looked at before driving."""

from django.db import transaction

from jobs.audit import record
from testing.testday.locking import locked_open
from testing.testday.models import Check
from testing.testday.procedure import lane_change
from testing.testday.refused import Refused


def confirmed(day):
    """Confirmed checks by key."""
    return {check.key: check for check in day.checks.select_related("by")}


def missing(day, *, mass):
    """What runs at this mass still wait for."""
    done, wanted = confirmed(day), lane_change().keys(mass=mass)
    return [item for item in lane_change().checks if item.key in wanted and item.key not in done]


@transaction.atomic
def confirm(*, day, keys, by):
    """Confirm these checks, with name and time. What is confirmed already stays as it was."""
    day = locked_open(day)
    known = {item.key for item in lane_change().checks}
    if strange := set(keys) - known:
        raise Refused(f"“{min(strange)[:40]}” is not a check of this sheet: reload it.")
    done = confirmed(day)
    new = [key for key in dict.fromkeys(keys) if key not in done]
    for key in new:
        Check.objects.create(day=day, key=key, by=by)
    if new:
        record(day.booking.job, by, f"{len(new)} checks confirmed", keys=new)
    return new
