"""The list of test days: a driver's own, or all of them for whoever may read them."""

from datetime import timedelta

from django.db.models import Q
from django.shortcuts import render
from django.utils import timezone

from jobs.access import allow
from testing.models import Booking

RECENT = timedelta(days=60)


@allow("testing.drive", "testing.view_test_day")
def my_days(request):
    """Days to come, soonest first, then recent ones. A cancelled day shows when it had been opened."""
    now = timezone.now()
    bookings = (
        Booking.objects.filter(Q(cancelled_at=None) | Q(test_day__isnull=False), ends_at__gte=now - RECENT)
        .select_related("job__vehicle", "site", "driver", "test_day__statement")
        .order_by("starts_at")
    )
    if not request.user.has_perm("testing.view_test_day"):
        bookings = bookings.filter(driver__user=request.user)
    to_come = [booking for booking in bookings if booking.ends_at >= now]
    recent = [booking for booking in bookings if booking.ends_at < now]
    return render(
        request,
        "testing/testday/my_days.html",
        {"groups": [("To come", to_come), ("Recent", recent[::-1])], "none": not (to_come or recent)},
    )
