"""Slowing down whoever asks too often whether a certificate stands."""

from functools import wraps

from django.shortcuts import render

from jobs.throttle import Limit, place_of

A_MINUTE = 30
checks = Limit("checks of certificates", most=A_MINUTE, seconds=60)


def throttled(view):
    """At most A_MINUTE requests a minute from one place; more are answered 429."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        if checks.over(place_of(request)):
            response = render(request, "certificates/check_later.html", status=429)
            response["Retry-After"] = str(checks.wait_s())
            return response
        return view(request, *args, **kwargs)

    return guarded
