"""The two doors of the owner's page: the link, and the code behind it for whatever is personal."""

from functools import wraps
from urllib.parse import urlencode

from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache

from jobs.access import public
from jobs.models import Workshop
from jobs.owners import links
from jobs.owners.opened import is_opened
from jobs.owners.throttle import guesses


def by_link(view):
    """Open to whoever holds a standing link: the view gets the link in place of the key."""

    @public
    @never_cache
    @wraps(view)
    def guarded(request, token, *args, **kwargs):
        link = links.standing(token)
        response = _closed(request) if link is None else view(request, link, *args, **kwargs)
        return _private(response)

    return guarded


def by_code(view):
    """As `by_link`, and only for whoever has shown by a code that the page is theirs."""

    @wraps(view)
    def guarded(request, link, *args, **kwargs):
        if not is_opened(request, link):
            return redirect(f"{reverse('jobs:owner_code', args=[link.token])}?{urlencode({'next': request.path})}")
        return view(request, link, *args, **kwargs)

    return by_link(guarded)


def wanted(request, link):
    """Where the owner was going when a code was asked for: a page of this very link, else its first one."""
    first = reverse("jobs:owner_page", args=[link.token])
    asked = request.GET.get("next", "")
    inside = asked.startswith(first) and url_has_allowed_host_and_scheme(asked, allowed_hosts=None)
    return asked if inside else first


def sent(request, *, files=False):
    """What was sent, for a form to be bound to; nothing while the page is only looked at."""
    if request.method != "POST":
        return ()
    return (request.POST, request.FILES) if files else (request.POST,)


def _closed(request):
    """One page for wrong, expired and withdrawn: nobody learns which addresses ever were."""
    too_many = guesses.wrong(request)
    workshop = None if too_many else Workshop.current()
    response = render(request, "jobs/owner_closed.html", {"workshop": workshop}, status=429 if too_many else 404)
    if too_many:
        response["Retry-After"] = str(guesses.from_one.wait_s())
    return response


def _private(response):
    # The address is the key: it must not leave the site in a referrer, or end in a search engine. Forms need
    # the referrer inside the site: with none at all a browser sends them without their origin.
    response["Referrer-Policy"] = "same-origin"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
