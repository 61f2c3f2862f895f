"""The planner: what waits for a day, what is booked, the coming week, and what there is to plan with."""

from datetime import timedelta

from django.shortcuts import render
from django.utils import timezone

from jobs.access import allow
from jobs.models import Job
from testing.models import BallastStock, Booking, CalendarFeed, CrewMember, Instrument
from testing.scheduling import climate, forecast
from testing.scheduling.week import overview

DAYS = 7
TEST_H = 4


@allow("testing.view_schedule")
def planner(request):
    """One page; each list links to where something can be done about it."""
    now = timezone.now()
    standing = Booking.objects.standing()
    bookings = standing.filter(ends_at__gte=now).select_related("site", "driver", "hire", "job__vehicle", "job__owner")
    waiting = Job.objects.with_people().filter(stage="scheduling").exclude(pk__in=standing.values("job"))
    today = timezone.localdate()
    limits = forecast.limits_under()
    week = list(overview(first_day=today, days=DAYS, limits=limits))
    return render(
        request,
        "testing/scheduling/planner.html",
        {
            "waiting": waiting.order_by("stage_since"),
            "bookings": bookings.prefetch_related("decisions"),
            "week": week,
            "days": [today + timedelta(days=number) for number in range(DAYS)],
            "test_h": TEST_H,
            "sites": [site for site, _ in week],
            "outlook": list(_outlook(week, today)),
            "crew": CrewMember.objects.select_related("user").prefetch_related("barred"),
            "instruments": Instrument.objects.all(),
            "ballast": BallastStock.objects.all(),
            "today": today,
            "soon": today + timedelta(days=30),
            "feed": CalendarFeed.objects.filter(user=request.user).first(),
        },
    )


def _outlook(week, today):
    """For each site the likeliest start hour of this month, as its past has it."""
    rows = climate.counted(TEST_H)
    for site, _ in week:
        best = climate.best_hours(rows[site.pk], today.month)[:1] if site.pk in rows else []
        yield site, best[0] if best else None
