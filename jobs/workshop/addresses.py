"""Addresses that go out by e-mail and on paper: they need the name of the site in front."""

import os

from django.conf import settings

from jobs.models import Workshop


def absolute(path):
    """The path with the address of this site before it: as the workshop's settings give it, else the environment."""
    if written := Workshop.current().web_address or os.environ.get("JOBBOOK_ADDRESS", ""):
        return written.rstrip("/") + path
    host = settings.ALLOWED_HOSTS[0] if settings.ALLOWED_HOSTS else "127.0.0.1"
    return f"https://{host}{path}" if settings.HTTPS else f"http://{host}:8000{path}"
