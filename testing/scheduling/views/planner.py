"""The planner: what waits for a day, what is booked, and what there is to plan with."""

from django.shortcuts import render
from django.utils import timezone

from jobs.access import allow
from jobs.models import Job
from testing.models import Booking, CrewMember, Site


@allow("testing.view_schedule")
def planner(request):
    """One page; each list links to where something can be done about it."""
    bookings = Booking.objects.filter(cancelled_at=None, ends_at__gte=timezone.now())
    booked = Booking.objects.filter(cancelled_at=None).values("job")
    waiting = Job.objects.with_people().filter(stage="scheduling").exclude(pk__in=booked)
    return render(
        request,
        "testing/scheduling/planner.html",
        {
            "waiting": waiting.order_by("stage_since"),
            "bookings": bookings.select_related("site", "driver", "job__vehicle", "job__owner"),
            "sites": Site.objects.all(),
            "crew": CrewMember.objects.select_related("user"),
            "today": timezone.localdate(),
        },
    )
