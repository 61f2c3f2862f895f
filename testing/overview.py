"""What test days add to the figures of the business: passed at the first go, and called off for the weather."""

import re
from collections import Counter

from django.utils import timezone

from jobs import endings, steps
from jobs.overview.figures import Bar, Figure
from testing.models import Booking, TestDay
from testing.testday.opening import STEP_KEY
from testing.testday.result import result
from vehicles.calculations.modifications import KINDS
from vehicles.models import Modification

_WEATHER = re.compile(r"\b(weather|wind[sy]?|gust\w*|rain\w*|wet|storm\w*|shower\w*|fog\w*|forecast)\b", re.IGNORECASE)


def first_time_passes(period):
    """For each kind of modification, the share of vehicles that passed on their first test day."""
    tested, passed = Counter(), Counter()
    first_days = list(_first_days(period))
    kinds = _kinds_of([day.booking.job.vehicle_id for day in first_days])
    for day in first_days:
        passed_now = _passed(day)
        for kind in kinds.get(day.booking.job.vehicle_id, ()):
            tested[kind] += 1
            passed[kind] += passed_now
    return Figure(
        title="Passed at the first go, by kind of modification",
        unit="% of vehicles",
        meaning="Vehicles whose first test day lies in the period and ended with the driver's statement: passed is "
        "all that the test day has to deliver, with no second day after it. A vehicle counts under each of its kinds.",
        bars=tuple(
            Bar(
                label=KINDS[kind].title,
                value=round(100 * passed[kind] / count, 1),
                count=count,
                remark=f"{passed[kind]} of {count}",
            )
            for kind, count in tested.most_common()
        ),
    )


def _passed(day):
    """Whether the job passed with that day alone. Past the step of the test, the step itself has asked that."""
    job = day.booking.job
    if day.again or not day.statement.safe:
        return False
    if job.done:
        return endings.of(job) is None
    beyond = steps.get(job.stage).order > steps.get(STEP_KEY).order
    return beyond or result(job).passed


def _first_days(period):
    """First test days in the period that ended with a statement; `again` says whether another followed."""
    days = TestDay.objects.filter(
        booking__starts_at__gte=period.begins, booking__starts_at__lt=period.ends, statement__isnull=False
    ).select_related("statement", "booking__job__vehicle", "booking__job__ending")
    order = {}
    jobs = {day.booking.job_id for day in days}
    every = TestDay.objects.filter(booking__job__in=jobs).order_by("booking__starts_at", "pk")
    for pk, job in every.values_list("pk", "booking__job_id"):
        order.setdefault(job, []).append(pk)
    for day in days:
        if order[day.booking.job_id][0] == day.pk:
            day.again = len(order[day.booking.job_id]) > 1
            yield day


def _kinds_of(vehicles):
    found = {}
    rows = Modification.objects.filter(vehicle__in=vehicles).values_list("vehicle_id", "kind")
    for vehicle, kind in rows:
        found.setdefault(vehicle, set()).add(kind)
    return found


def postponements(period):
    """How mornings that lie in the period, and are over, ended: kept, called off for the weather or otherwise."""
    bookings = Booking.objects.filter(
        starts_at__gte=period.begins, starts_at__lt=period.ends, ends_at__lte=timezone.now(), held_until__isnull=True
    )
    counted, read = Counter(), Counter()
    for cancelled_at, cause, reason in bookings.values_list("cancelled_at", "cause", "cancelled_because"):
        key = "kept" if cancelled_at is None else _called_off_for(cause, reason)
        counted[key] += 1
        read[key] += bool(cancelled_at and not cause)
    total = sum(counted.values())
    words = {"kept": "Kept", "weather": "Called off for the weather", "other": "Called off for another reason"}
    return Figure(
        title="Mornings kept and called off",
        unit="% of bookings",
        meaning="Bookings whose morning lies in the period and is over; what was only held does not count. What was "
        "chosen at the cancelling decides. Earlier ones, from before that was asked, are read by their reason: one "
        "that names weather, wind, gusts, rain, wet, storm, showers, fog or the forecast counts as weather.",
        bars=tuple(
            Bar(
                label=label,
                value=round(100 * counted[key] / total, 1) if total else None,
                count=counted[key],
                remark=f"{read[key]} of them read from the words of the reason" if read[key] else "",
            )
            for key, label in words.items()
        ),
    )


def _called_off_for(cause, reason):
    if cause:
        return "weather" if cause == "weather" else "other"
    return "weather" if _WEATHER.search(reason) else "other"
