"""Bookings as a calendar that a phone reads by itself."""

from datetime import timedelta

from django.contrib import messages
from django.db.models import Count, F, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from jobs.access import allow, public
from testing.models import Booking, CalendarFeed
from testing.scheduling import calendars

PAST = timedelta(days=60)


@allow("testing.view_schedule", "testing.drive")
@require_POST
def new_feed(request):
    """A new address for one's own calendar; the old address gives nothing any more."""
    CalendarFeed.objects.filter(user=request.user).delete()
    CalendarFeed.objects.create(user=request.user)
    messages.success(request, "Your calendar has a new address.")
    return redirect("testing:planner" if request.user.has_perm("testing.view_schedule") else "testing:my_days")


@public
@never_cache
def feed(request, token):
    """The bookings of whoever holds the address: all for those who see the planner, their own for the crew."""
    feed = get_object_or_404(CalendarFeed.objects.select_related("user"), token=token, user__is_active=True)
    bookings = (
        Booking.objects.filter(ends_at__gte=timezone.now() - PAST)
        .select_related("site", "driver", "job__vehicle")
        .annotate(earlier=Count("job__bookings", filter=Q(job__bookings__lt=F("pk"))))
        .order_by("job", "pk")
    )
    if not feed.user.has_perm("testing.view_schedule"):
        bookings = bookings.filter(Q(driver__user=feed.user) | Q(observers__user=feed.user)).distinct()
    latest = {booking.job_id: booking for booking in bookings}
    body = calendars.calendar_of(latest.values(), name="Test days")
    response = HttpResponse(body, content_type=calendars.CONTENT_TYPE)
    response["Content-Disposition"] = 'inline; filename="test-days.ics"'
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
