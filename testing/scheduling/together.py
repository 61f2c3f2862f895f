"""Booking several jobs into one hire: all of them or none."""

from django.db import transaction

from jobs.models import Job
from jobs.refused import Refused
from testing.models import Hire
from testing.scheduling import bookings, telling
from testing.scheduling.finding import find
from testing.scheduling.locking import patiently, queue_for, standing_booking, taken_by
from testing.scheduling.packing import later

NO_REASON = "Say why the booked days are given up."


def book_together(*, by, jobs, site, starts_at, hold_h=None, reason="", cause=""):
    """Book these jobs one after the other from that moment on; what they had booked is given up.

    Looks for the morning once more: what it was proposed on may have changed. Raises Refused.
    """
    with patiently(), transaction.atomic():
        jobs = list(
            Job.objects.select_for_update().with_people().filter(pk__in=[job.pk for job in jobs]).order_by("pk")
        )
        had = {job.pk: standing_booking(job) for job in jobs}
        if any(had.values()) and not reason:
            raise Refused(NO_REASON)
        proposal = _proposal(jobs, site, starts_at)
        held = taken_by(had.values())
        queue_for(
            sites=held["sites"] | {site.pk},
            crew=held["crew"] | {person.pk for person in proposal.drivers.values()},
            instruments=held["instruments"] | {one.pk for one in proposal.instruments},
        )
        for job in jobs:
            if had[job.pk]:
                bookings._cancel(by=by, job=job, reason=reason, cause=cause, paid_again=True)
        hire = Hire.objects.create(site=site, order=proposal.timed, made_by=by) if len(jobs) > 1 else None
        made = [_book(by, part, proposal, hire, hold_h) for part in proposal.order.parts]
        for booking in made:
            was = had[booking.job_id]
            kind = "held" if booking.held_until else "moved" if was else "booked"
            telling.tell(kind, booking, was=was, reason=reason)
    return made


def _proposal(jobs, site, starts_at):
    day = starts_at.astimezone(site.zone).date()
    found = find(jobs, first_day=day, days=1, sites=type(site).objects.filter(pk=site.pk), starts=[starts_at])
    if found.not_ready or found.against_sites:
        raise Refused(*found.not_ready, *found.against_sites)
    if not found.proposals:
        raise Refused(*(f"That morning is no longer possible: {why}." for why in found.against_days))
    return found.proposals[0]


def _book(by, part, proposal, hire, hold_h):
    start = later(proposal.start, part.from_min)
    return bookings._book(
        by=by,
        job=part.entry.job,
        site=proposal.site,
        driver=proposal.drivers[part.entry.job.pk],
        starts_at=start,
        hours=(part.to_min - part.from_min) / 60,
        instruments=proposal.instruments,
        hold_h=hold_h,
        hire=hire,
    )
