"""What is expected on a day: vehicles to come in and tests that are booked. Apps above add their own."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from django.utils import timezone

from jobs.models import Job


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """One line of the day. ``clock`` is the time as read at the place itself."""

    at: datetime
    clock: str
    what: str
    job: Job


_sources: list[Callable] = []


def register(source):
    """`source(start, end)` yields every Arrival from start up to end, with job, vehicle and owner at hand."""
    _sources.append(source)


def expected_in(start, end):
    """Vehicles that owners promised to bring."""
    for job in Job.objects.with_people().filter(expected_at__gte=start, expected_at__lt=end, stage="booking"):
        local = timezone.localtime(job.expected_at)
        yield Arrival(at=job.expected_at, clock=f"{local:%H:%M}", what="comes in", job=job)


def between(first_day, days):
    """All arrivals of some days from the first, in the order of the clock, under their dates."""
    start = timezone.make_aware(datetime.combine(first_day, time.min))
    end = timezone.make_aware(datetime.combine(first_day + timedelta(days=days), time.min))
    found = sorted((a for source in _sources for a in source(start, end)), key=lambda arrival: arrival.at)
    by_day = {}
    for arrival in found:
        by_day.setdefault(timezone.localdate(arrival.at), []).append(arrival)
    return by_day
