"""Asking the forecast service for every site that has a place, and remembering how it went."""

from datetime import timedelta

from django.utils import timezone

from testing.models import ForecastFetch, Site
from testing.scheduling import keeping, source

ORIGIN = "forecast service"
EVERY = timedelta(hours=1)


def refresh(site, *, now=None, pause_s=source.PAUSE_S):
    """Ask for one site. What is kept already stays when the service gives nothing. Gives the problem, or ''."""
    now = now or timezone.now()
    try:
        readings = source.ask(site, pause_s=pause_s)
    except source.NoForecast as problem:
        text = str(problem)[:200]
        ForecastFetch.objects.update_or_create(site=site, defaults={"tried_at": now, "problem": text})
        return text
    keeping.store(site=site, readings=readings, origin=ORIGIN, by=None)
    ForecastFetch.objects.update_or_create(site=site, defaults={"tried_at": now, "fetched_at": now, "problem": ""})
    return ""


def refresh_all(*, now=None, pause_s=source.PAUSE_S):
    """Every site that was not asked for within the hour. Gives sites with their problem."""
    now = now or timezone.now()
    if not source.is_on():
        return
    located = Site.objects.exclude(latitude_deg=None).exclude(longitude_deg=None)
    for site in located.exclude(fetch__tried_at__gt=now - EVERY):
        yield site, refresh(site, now=now, pause_s=pause_s)
