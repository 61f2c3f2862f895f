"""Whose day it is. A driver sees the days they drive, and of others not even that they exist."""

from django.http import Http404
from django.shortcuts import get_object_or_404

from testing.testday.models import TestDay


def is_driver(user, day):
    return day.booking.driver.user_id == user.pk


def _day(pk):
    days = TestDay.objects.select_related("booking__job__vehicle", "booking__site", "booking__driver", "opened_by")
    return get_object_or_404(days, pk=pk)


def may_record(user, day):
    return user.has_perm("testing.run_test_day") or is_driver(user, day)


def readable_day(request, pk):
    """The day, for its driver and for whoever may read all day sheets."""
    day = _day(pk)
    if is_driver(request.user, day) or request.user.has_perm("testing.view_test_day"):
        return day
    raise Http404


def recordable_day(request, pk):
    """The day, for its driver and for whoever runs test days."""
    day = _day(pk)
    if may_record(request.user, day):
        return day
    raise Http404
