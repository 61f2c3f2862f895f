"""Booking acts on the file of a job: hold, book, confirm, move, cancel. One transaction each."""

from datetime import timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.formats import date_format

from jobs import stages
from jobs.audit import record
from jobs.refused import Refused
from testing.models import Booking
from testing.scheduling import objections, slots, telling
from testing.scheduling.locking import locked, patiently, queue_for, standing_booking, taken_by

JUST_NOW = "Somebody else was booking the same time just now. Look again and choose a time."
CLOSED = "The job is closed without a certificate."
RUN_OUT = "The hold ran out before it was confirmed."


def book(*, by, job, **wanted):
    """Take site, crew, instruments and vehicle for some hours. Raises Refused with every reason against it.

    Takes site, driver, starts_at, hours; observers, instruments, hold_h (only held for so long), hire.
    """
    with patiently(), transaction.atomic():
        booking = _book(by=by, job=job, **wanted)
        telling.tell("held" if booking.held_until else "booked", booking)
    return booking


def _book(*, by, job, site, driver, starts_at, hours, observers=(), instruments=(), hold_h=None, hire=None):
    job = locked(job)
    _clear(job.bookings.run_out())
    if standing_booking(job):
        raise Refused(f"{job.number} has a booking already: move or cancel that one.")
    queue_for(
        sites=[site.pk],
        crew=[driver.pk, *(person.pk for person in observers)],
        instruments=[instrument.pk for instrument in instruments],
    )
    for thing in (site, driver, *observers, *instruments):
        thing.refresh_from_db()
    now = timezone.now()
    wanted = Booking(
        job=job,
        site=site,
        driver=driver,
        starts_at=starts_at,
        ends_at=starts_at + timedelta(hours=float(hours)),
        held_until=hold_h and min(now + timedelta(hours=hold_h), starts_at),
        hire=hire,
        booked_by=by,
    )
    taken = slots.resources(job=job, site=site, driver=driver, observers=observers, instruments=instruments)
    _clear(Booking.objects.run_out().filter(pk__in=slots.collisions(taken, **_span(wanted)).values("booking")))
    # Most who come too late are told so here, at little cost; the constraint below is what holds.
    if reasons := list(_who_has_it(wanted, taken)):
        raise Refused(*reasons)
    if reasons := list(objections.against(wanted, observers=observers, instruments=instruments)):
        raise Refused(*reasons)
    try:
        with transaction.atomic():
            wanted.save()
            slots.take(wanted, taken)
    except IntegrityError as error:
        raise Refused(*(list(_who_has_it(wanted, taken)) or [JUST_NOW])) from error
    wanted.observers.set(observers)
    wanted.instruments.set(instruments)
    until = hold_h and date_format(wanted.held_until_local, "j M Y, H:i")
    what = f"Held until {until}: {wanted}" if hold_h else f"Booked: {wanted}"
    record(job, by, what, driver=driver.name, starts_at=starts_at.isoformat(), hours=str(hours))
    return wanted


def _span(booking):
    return {"starts_at": booking.starts_at, "ends_at": booking.ends_at}


def _who_has_it(wanted, taken):
    held = {}
    for slot in slots.collisions(taken, **_span(wanted)):
        held.setdefault((taken[slot.resource], slot.booking.pk), slot.booking)
    for (name, _), booking in held.items():
        yield f"{name} is taken: {booking.when}, booked for {booking.job.number}. Choose another time."


def confirm(*, by, job):
    """Make a hold a booking. Raises Refused when it ran out meanwhile."""
    with patiently(), transaction.atomic():
        job = locked(job)
        booking = standing_booking(job)
        if booking is None:
            raise Refused(f"{job.number} has no booking to confirm: a hold that runs out is gone. Book again.")
        if booking.held_until is None:
            return booking
        booking.held_until = None
        booking.save(update_fields=["held_until"])
        record(job, by, f"Booking confirmed: {booking}")
        telling.tell("booked", booking)
    return booking


def cancel(*, by, job, reason, cause="", paid_again=True):
    """Give the booking up. Its row stays with the reason; what it took is free again.

    ``paid_again``: a confirmed booking that is given up costs a part of the price once more.
    """
    with patiently(), transaction.atomic():
        booking = _cancel(by=by, job=job, reason=reason, cause=cause, paid_again=paid_again)
        telling.tell("cancelled", booking)
    return booking


def _cancel(*, by, job, reason, paid_again, cause=""):
    job = locked(job)
    booking = standing_booking(job)
    if booking is None:
        raise Refused(f"{job.number} has no booking that could be cancelled.")
    queue_for(**taken_by([booking]))
    _give_up(booking, reason=reason, cause=cause, paid_again=paid_again and booking.held_until is None)
    record(job, by, f"Booking cancelled: {reason}", was=str(booking), cause=cause, paid_again=booking.paid_again)
    if job.stage == "testday":
        # Another day means other weather and other cover: every condition is looked at again.
        stages.send_back(job, to="scheduling", by=by, reason=reason)
    return booking


def _give_up(booking, *, reason, cause="", paid_again=False):
    booking.slots.all().delete()
    booking.cancelled_at, booking.cancelled_because, booking.paid_again = timezone.now(), reason, paid_again
    booking.cause = cause
    booking.risk, booking.at_risk_since = "", None
    booking.save(update_fields=["cancelled_at", "cancelled_because", "cause", "paid_again", "risk", "at_risk_since"])


def let_go(job, by):
    """A job that comes to nothing takes no morning any more. What has been driven stays as it was.

    The owner hears of the closing itself: a letter that promises another morning would be wrong.
    """
    booking = standing_booking(job)
    if booking is None or booking.ends_at <= timezone.now():
        return
    queue_for(**taken_by([booking]))
    _give_up(booking, reason=CLOSED, cause="vehicle")
    record(job, by, f"Booking cancelled: {CLOSED}", was=str(booking), paid_again=False)
    telling.tell("cancelled", booking, owner=False)


def move(*, by, job, reason, cause="", paid_again=True, **wanted):
    """Cancel and book again, or leave everything as it was."""
    with patiently(), transaction.atomic():
        job = locked(job)
        if was := standing_booking(job):
            queue_for(**_together(taken_by([was]), wanted))
        _cancel(by=by, job=job, reason=reason, cause=cause, paid_again=paid_again)
        booking = _book(by=by, job=job, **wanted)
        telling.tell("moved", booking, was=was, reason=reason)
    return booking


def _together(held, wanted):
    return {
        "sites": held["sites"] | {wanted["site"].pk},
        "crew": held["crew"] | {wanted["driver"].pk, *(person.pk for person in wanted.get("observers", ()))},
        "instruments": held["instruments"] | {one.pk for one in wanted.get("instruments", ())},
    }


def _clear(run_out):
    for booking in run_out.select_related("site", "job"):
        _give_up(booking, reason=RUN_OUT)
        record(booking.job, None, RUN_OUT, was=str(booking))
        telling.tell("run_out", booking)


def clear_run_out_holds():
    """Free what holds that ran out still take; each hold in a transaction of its own."""
    count = 0
    for pk in list(Booking.objects.run_out().values_list("pk", flat=True)):
        with transaction.atomic():
            found = Booking.objects.select_for_update().filter(pk=pk)
            before = found.run_out().count()
            _clear(found.run_out())
            count += before
    return count
