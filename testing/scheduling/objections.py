"""Why a booking cannot stand, whatever else is booked."""

from datetime import timedelta

from django.utils import timezone
from django.utils.formats import date_format

from testing.scheduling import drivers, slots
from testing.scheduling.room import room_for
from vehicles.calculations.site import NOT_MET

STAGES = ("scheduling", "testday")
FARTHEST = timedelta(days=730)


def against(wanted, *, observers=(), instruments=()):
    """One sentence for each reason against this booking."""
    yield from _time(wanted)
    yield from drivers.objections(wanted.driver, job=wanted.job, day=wanted.day)
    yield from _company(wanted, observers, instruments)
    room = room_for(wanted.job, wanted.site)
    if room.verdict == NOT_MET:
        yield f"The course does not fit on {wanted.site}. {room.text}"


def _time(wanted):
    site, start, end = wanted.site, wanted.local_start, wanted.local_end
    if wanted.job.stage not in STAGES:
        yield f"{wanted.job.number} is not at the step where a day is booked: the signed triage comes first."
    if wanted.starts_at <= timezone.now():
        yield f"{wanted.when} has begun already; book a time to come."
    if wanted.starts_at > timezone.now() + FARTHEST:
        yield f"{wanted.when} is more than two years away."
    if not slots.on_grid(start) or not slots.on_grid(end):
        yield f"Bookings begin and end on the quarter hour, not at {start:%H:%M} and {end:%H:%M}."
    if start.date() != end.date() or start.time() < site.opens or end.time() > site.closes:
        yield (
            f"{start:%H:%M} to {end:%H:%M} is not within the hours of {site} on one day, "
            f"{site.opens:%H:%M} to {site.closes:%H:%M} ({site.time_zone})."
        )
    for blackout in site.blackouts.all():
        if blackout.holds_on(wanted.day):
            yield f"{site} cannot be had on {date_format(wanted.day)}: {blackout.reason}."


def _company(wanted, observers, instruments):
    for observer in observers:
        if observer == wanted.driver:
            yield f"{observer} drives; somebody else has to observe."
        elif not observer.observes:
            yield f"{observer} is not listed as one who observes tests."
    for instrument in instruments:
        if objection := instrument.objection(wanted.day):
            yield objection
