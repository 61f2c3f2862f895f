"""What runs at a mass wait for: everything that is required before somebody drives."""

from dataclasses import dataclass

from django.utils import timezone
from django.utils.formats import date_format

from testing.scheduling import drivers, go
from testing.testday import checks, instruments, loading


@dataclass(frozen=True, kw_only=True)
class Waiting:
    """One thing in the way, and the part of the sheet where it is dealt with."""

    text: str
    place: str
    key: str = ""


def other_date(day, moment=None):
    """Why nothing is driven now, when this is not the booked date at the site; else an empty text."""
    zone = day.booking.site.zone
    today, booked = timezone.localtime(moment, zone).date(), day.booking.day
    if today == booked:
        return ""
    return (
        f"This day is booked for {date_format(booked)} and it is {date_format(today)} at {day.booking.site}: "
        "move the booking"
    )


def crew_and_cover(day):
    """Driver and cover are looked at again on the day: evidence runs out, covers are taken back."""
    job, booking = day.booking.job, day.booking
    for objection in drivers.objections(booking.driver, job=job, day=booking.day):
        yield Waiting(text=objection, place="people")
    value = job.vehicle.market_value_aud
    holding = [cover for cover in job.covers.all() if cover.valid_from <= booking.day <= cover.valid_to]
    if value is None:
        # A cover of any sum would do for a value that nobody knows.
        text = "The market value is not known: enter it with the vehicle, then the cover can be held against it."
        yield Waiting(text=text, place="people")
    if not holding or (value is not None and max(cover.sum_aud for cover in holding) < value):
        yield Waiting(text="No cover is valid today for the market value of the vehicle.", place="people")


def go_and_gear(day, at=None):
    """A no-go that stands, or stood at that moment, and booked instruments out of calibration today."""
    word = go.latest(day.booking, at=at)
    if word is not None and word.decision != "go":
        yield Waiting(text=f"No-go by {word.by.full_name}: {word.reason}", place="people")
    for objection in instruments.objections(day):
        yield Waiting(text=objection, place="people")


def not_met_today(day, at=None):
    """What stops the whole day, whatever is ticked."""
    return [*crew_and_cover(day), *go_and_gear(day, at=at)]


def waits_for(day, *, mass, at=None):
    """Everything that runs at this mass wait for, in the order in which it is done."""
    found = not_met_today(day, at=at)
    for item in checks.missing(day, mass=mass, at=at):
        found.append(Waiting(text=item.text, place="checks", key=item.key))
    if text := loading.missing(day, mass=mass, at=at):
        found.append(Waiting(text=text, place="loading", key="loading"))
    return found
