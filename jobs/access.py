"""Who may see what. Every view carries exactly one of these marks; a test finds one without.

Signing in is asked for by middleware wherever `public` does not say otherwise.
"""

from functools import wraps

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied


def allow(*permissions):
    """Let in whoever is signed in and holds any one of the permissions; everybody else gets a 403."""

    def mark(view):
        @wraps(view)
        def guarded(request, *args, **kwargs):
            if not any(request.user.has_perm(name) for name in permissions):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        guarded.access = permissions
        return guarded

    return mark


def signed_in(view):
    """Let in anybody who is signed in; the view itself shows only what is theirs."""
    view.access = ("signed in",)
    return view


def public(view):
    """Let in anybody at all."""
    view = login_not_required(view)
    view.access = ("public",)
    return view
