"""Mornings that the owner may say no to: what the planner asks about, and what is held and not yet booked."""

from jobs.owner_page import Morning
from jobs.owners import offers
from testing.scheduling.locking import standing_booking


def mornings(job):
    booking = standing_booking(job)
    if booking and not booking.held_until:
        return
    if booking:
        yield Morning(day=booking.day, text=f"{booking.when}, {booking.site}")
    for one in offers.of(job):
        yield Morning(day=one.day, text=one.text)
