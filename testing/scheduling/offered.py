"""Mornings that the owner may say no to: what is held for the job and not yet booked."""

from jobs.owner_page import Morning
from testing.scheduling.locking import standing_booking


def mornings(job):
    booking = standing_booking(job)
    if booking and booking.held_until:
        yield Morning(day=booking.day, text=f"{booking.when}, {booking.site}")
