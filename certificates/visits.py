"""Slowing down whoever asks too often, with nothing but the database: it holds for several web processes."""

import time
from functools import wraps

from django.conf import settings
from django.db.models import F
from django.shortcuts import render
from django.utils.crypto import salted_hmac

from certificates.models import Visits

A_MINUTE = 30


def visitor_of(request):
    """A keyed hash of where the request comes from. Behind our own proxy that is what the proxy wrote last."""
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.HTTPS else ""
    address = forwarded.rpartition(",")[2].strip() or request.META.get("REMOTE_ADDR", "")
    return salted_hmac("certificates.visits", address, algorithm="sha256").hexdigest()


def count(visitor, *, minute):
    """Count one visit and say how many there were in this minute."""
    row, made = Visits.objects.get_or_create(visitor=visitor, minute=minute)
    Visits.objects.filter(pk=row.pk).update(count=F("count") + 1)
    if made:
        Visits.objects.filter(minute__lt=minute - 1).delete()
    return row.count + 1


def throttled(view):
    """At most A_MINUTE requests a minute from one place; more are answered 429."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        now = int(time.time())
        if count(visitor_of(request), minute=now // 60) > A_MINUTE:
            response = render(request, "certificates/check_later.html", status=429)
            response["Retry-After"] = str(60 - now % 60)
            return response
        return view(request, *args, **kwargs)

    return guarded
