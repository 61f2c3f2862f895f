"""Planning acts on the file of a job: cover, booking, moving, cancelling. One transaction each."""

from datetime import timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone

from jobs import stages
from jobs.audit import record
from jobs.models import Job
from testing.models import Booking, CrewMember, InsuranceCover, Site
from testing.scheduling import drivers, slots
from testing.scheduling.room import room_for
from vehicles.calculations.site import NOT_MET

STAGES = ("scheduling", "testday")
FARTHEST = timedelta(days=730)


class Refused(Exception):
    """The act is not possible. Carries one sentence for each reason."""

    def __init__(self, *reasons):
        self.reasons = reasons
        super().__init__(" ".join(reasons))


def standing_booking(job):
    """The booking that holds now, or None."""
    return job.bookings.filter(cancelled_at=None).select_related("site", "driver__user").first()


def _locked(job):
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise Refused(f"{job.number} is closed; nothing is planned for it any more.")
    return job


def _queue_for(*, sites, crew):
    """Whoever books, moves and cancels waits here, in one order, instead of deadlocking on the slots."""
    for model, keys in ((Site, sites), (CrewMember, crew)):
        list(model.objects.select_for_update(no_key=True).filter(pk__in=keys).order_by("pk"))


@transaction.atomic
def add_cover(*, by, job, cover):
    cover.job = _locked(job)
    cover.save()
    record(cover.job, by, f"Cover recorded: {cover}", sum_aud=str(cover.sum_aud), valid_to=str(cover.valid_to))
    return cover


@transaction.atomic
def remove_cover(*, by, job, pk):
    """Take back a cover that was recorded wrongly; the audit trail keeps what it was."""
    job = _locked(job)
    cover = InsuranceCover.objects.filter(job=job, pk=pk).first()
    if cover is None:
        raise Refused("That cover is not recorded any more.")
    record(job, by, f"Cover removed: {cover}", sum_aud=str(cover.sum_aud), valid_to=str(cover.valid_to))
    cover.delete()


@transaction.atomic
def book(*, by, job, site, driver, starts_at, hours):
    """Take site, driver and vehicle for some hours. Raises Refused with every reason against it."""
    job = _locked(job)
    if standing_booking(job):
        raise Refused(f"{job.number} has a booking already: move or cancel that one.")
    _queue_for(sites=[site.pk], crew=[driver.pk])
    site.refresh_from_db()
    driver.refresh_from_db()
    ends_at = starts_at + timedelta(hours=float(hours))
    wanted = Booking(job=job, site=site, driver=driver, starts_at=starts_at, ends_at=ends_at, booked_by=by)
    if reasons := list(_against(wanted)):
        raise Refused(*reasons)
    taken = slots.resources(job=job, site=site, driver=driver)
    try:
        with transaction.atomic():
            wanted.save()
            slots.take(wanted, taken)
    except IntegrityError as error:
        raise Refused(*_who_has_it(wanted, taken)) from error
    record(job, by, f"Booked: {wanted}", driver=driver.name, starts_at=starts_at.isoformat(), hours=str(hours))
    return wanted


def _against(wanted):
    """Why this booking cannot stand, whatever else is booked."""
    site, start, end = wanted.site, wanted.local_start, wanted.local_end
    if wanted.job.stage not in STAGES:
        yield f"{wanted.job.number} is not at the step where a day is booked: the signed triage comes first."
    if wanted.starts_at <= timezone.now():
        yield f"{wanted.when} has begun already; book a time to come."
    if wanted.starts_at > timezone.now() + FARTHEST:
        yield f"{wanted.when} is more than two years away."
    if not slots.on_grid(start) or not slots.on_grid(end):
        yield f"Bookings begin and end on the half hour, not at {start:%H:%M} and {end:%H:%M}."
    if start.date() != end.date() or start.time() < site.opens or end.time() > site.closes:
        yield (
            f"{start:%H:%M} to {end:%H:%M} is not within the hours of {site} on one day, "
            f"{site.opens:%H:%M} to {site.closes:%H:%M} ({site.time_zone})."
        )
    yield from drivers.objections(wanted.driver, job=wanted.job, day=wanted.day)
    room = room_for(wanted.job, site)
    if room.verdict == NOT_MET:
        yield f"The course does not fit on {site}. {room.text}"


def _who_has_it(wanted, taken):
    held = {}
    for slot in slots.collisions(taken, starts_at=wanted.starts_at, ends_at=wanted.ends_at):
        held.setdefault((taken[slot.resource], slot.booking.pk), slot.booking)
    for (name, _), booking in held.items():
        yield f"{name} is taken: {booking.when}, booked for {booking.job.number}. Choose another time."
    if not held:
        yield "Somebody else was booking the same time just now. Look again and choose a time."


@transaction.atomic
def cancel(*, by, job, reason):
    """Give the booking up. Its row stays with the reason; site, driver and vehicle are free again."""
    job = _locked(job)
    booking = standing_booking(job)
    if booking is None:
        raise Refused(f"{job.number} has no booking that could be cancelled.")
    _queue_for(sites=[booking.site_id], crew=[booking.driver_id])
    booking.slots.all().delete()
    booking.cancelled_at, booking.cancelled_because = timezone.now(), reason
    booking.save(update_fields=["cancelled_at", "cancelled_because"])
    record(job, by, f"Booking cancelled: {reason}", was=str(booking))
    if job.stage == "testday":
        # Another day means other weather and other cover: every condition is looked at again.
        stages.send_back(job, to="scheduling", by=by, reason=reason)
    return booking


@transaction.atomic
def move(*, by, job, reason, **wanted):
    """Cancel and book again, or leave everything as it was."""
    job = _locked(job)
    if was := standing_booking(job):
        _queue_for(sites=[was.site_id, wanted["site"].pk], crew=[was.driver_id, wanted["driver"].pk])
    cancel(by=by, job=job, reason=reason)
    return book(by=by, job=job, **wanted)
