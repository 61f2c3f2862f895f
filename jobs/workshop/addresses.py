"""Addresses that go out by e-mail and on paper: they need the name of the site in front."""

import os

from django.conf import settings

from jobs.models import Workshop


def absolute(path):
    """The path with the address of this site before it: as the workshop's settings give it, else the environment."""
    return (entered() or guessed()) + path


def entered():
    """The address that somebody entered for this site, or nothing."""
    return (Workshop.current().web_address or os.environ.get("JOBBOOK_ADDRESS", "")).rstrip("/")


def guessed():
    """The best guess while none is entered: the first host that is allowed, at the port the site is served on."""
    host = settings.ALLOWED_HOSTS[0] if settings.ALLOWED_HOSTS else "127.0.0.1"
    return f"https://{host}" if settings.HTTPS else f"http://{host}:{os.environ.get('JOBBOOK_PORT', '8000')}"
