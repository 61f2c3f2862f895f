"""Holding the file of a job while something is written on one of its test days."""

from jobs.models import Job
from jobs.refused import Refused
from testing.testday.models import TestDay
from testing.testday.opening import STEP_KEY


def locked(day):
    """The day as it is now, with its job held until the transaction ends."""
    job = Job.objects.select_for_update().get(pk=day.booking.job_id)
    day = TestDay.objects.select_related("booking__driver").get(pk=day.pk)
    day.booking.job = job
    return day


def closed_because(day):
    """Why nothing more is recorded on this day, or an empty text while it is open."""
    if day.booking.cancelled_at:
        return "The booking of this day was cancelled: nothing more is recorded on it."
    if day.booking.job.stage != STEP_KEY:
        return f"{day.booking.job.number} does not stand at the test day: nothing is recorded on it."
    if hasattr(day, "statement"):
        return "The driver has signed: this day is finished."
    return ""


def locked_open(day):
    """As `locked`, and refused when the day takes no more entries."""
    day = locked(day)
    if reason := closed_because(day):
        raise Refused(reason)
    return day
