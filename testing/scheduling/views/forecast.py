"""The forecast of a site: looked at, typed, uploaded."""

from datetime import date

from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import saved
from testing.models import Site
from testing.scheduling import forecast as forecasts
from testing.scheduling.forecast_forms import TypedForecastForm, UploadedForecastForm
from testing.scheduling.local_times import YEARS

DAYS = 7


def _first_day(request, site):
    """The day asked for, or today at the site when none or nonsense was asked for."""
    try:
        day = date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        day = None
    # Inside the first and the last year: the strip reaches some days to both sides.
    usable = day is not None and YEARS[0] < day.year < YEARS[-1]
    return day if usable else timezone.localdate(timezone=site.zone)


@allow("testing.view_schedule")
def forecast(request, pk):
    """Hour by hour, in the site's own zone, with the verdict and its reasons."""
    site = get_object_or_404(Site, pk=pk)
    first_day = _first_day(request, site)
    limits = forecasts.limits_under()
    days = list(forecasts.strip(site, first_day=first_day, days=DAYS, limits=limits))
    return render(
        request,
        "testing/scheduling/forecast.html",
        {
            "site": site,
            "days": [(day, lines, any(line["row"] for line in lines)) for day, lines in days],
            "limits": limits,
            "earlier": first_day - DAYS * forecasts.DAY,
            "later": first_day + DAYS * forecasts.DAY,
        },
    )


@allow("testing.schedule")
def enter_forecast(request, pk):
    """Hours of one day, typed from whatever forecast the engineer trusts."""
    site = get_object_or_404(Site, pk=pk)
    initial = {"day": _first_day(request, site).isoformat()}
    form = drafts.fill(TypedForecastForm, request, initial=initial, zone=site.zone)
    if request.method == "POST" and form.is_valid():
        return _keep(request, site, form, origin=form.cleaned_data["origin"])
    return render(request, "testing/scheduling/enter_forecast.html", {"site": site, "form": form})


@allow("testing.schedule")
def upload_forecast(request, pk):
    """A whole forecast or a past record as a CSV file."""
    site = get_object_or_404(Site, pk=pk)
    form = drafts.fill(UploadedForecastForm, request, zone=site.zone)
    if request.method == "POST" and form.is_valid():
        return _keep(request, site, form, origin=form.origin)
    return render(request, "testing/scheduling/upload_forecast.html", {"site": site, "form": form})


def _keep(request, site, form, *, origin):
    readings = form.cleaned_data["readings"]
    count = forecasts.store(site=site, readings=readings, origin=origin, by=request.user)
    first = min(reading.starts_at for reading in readings).astimezone(site.zone)
    last = max(reading.starts_at for reading in readings).astimezone(site.zone)
    text = f"{count} hours kept for {site}: {first:%d/%m/%Y %H:%M} to {last:%d/%m/%Y %H:%M}, {site.time_zone}."
    response = saved(request, text, "testing:forecast", site.pk)
    response["Location"] += f"?day={first.date().isoformat()}"
    return response
