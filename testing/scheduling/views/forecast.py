"""The weather of a site: looked at, typed, uploaded, asked for; and its past."""

from datetime import date

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import saved
from testing import workings
from testing.models import Site, WaitingFile
from testing.scheduling import climate, refresh, source, uploading
from testing.scheduling import forecast as forecasts
from testing.scheduling.drawing import drawn
from testing.scheduling.forecast_forms import ColumnsForm, TypedForecastForm, UploadedForecastForm
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
    ahead = [line.row for day in days for line in day.lines if line.row and line.at > timezone.now()]
    oldest = min((row.entered_at for row in ahead), default=None)
    return render(
        request,
        "testing/scheduling/forecast.html",
        {
            "site": site,
            "days": [(day, drawn(day, limits), workings.shown(day.workings(site, limits))) for day in days],
            "limits": limits,
            "drawn": any(day.known for day in days),
            "earlier": first_day - DAYS * forecasts.DAY,
            "later": first_day + DAYS * forecasts.DAY,
            "stale": oldest if oldest and forecasts.is_stale(oldest) else None,
            "source_on": source.is_on(),
            "fetch": getattr(site, "fetch", None),
            "counted": site.climatology.filter(hours_needed=climate.lengths(4)).first(),
        },
    )


@allow("testing.view_schedule")
def past_weather(request, pk):
    """How likely a window of some hours is, month by month, as the past of the site has it."""
    site = get_object_or_404(Site, pk=pk)
    typed = request.GET.get("hours", "4")
    hours = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 3 else 4
    hours = climate.lengths(hours)
    row = site.climatology.filter(hours_needed=hours).first()
    months = [(date(2000, month, 1), *told) for month, *told in climate.months(row)] if row else []
    shown = {"site": site, "row": row, "months": months, "hours": hours, "lengths": climate.LENGTHS}
    shown["workings"] = workings.shown(climate.workings(row)) if row else []
    return render(request, "testing/scheduling/past_weather.html", shown)


@allow("testing.schedule")
@require_POST
def fetch_forecast(request, pk):
    """Ask the forecast service now."""
    site = get_object_or_404(Site, pk=pk)
    if not source.is_on():
        messages.error(request, "No forecast service is set up. Type the hours or upload a file.")
    elif problem := refresh.refresh(site, pause_s=0):
        messages.error(request, f"No new forecast: {problem}. What was known stays.")
    else:
        messages.success(request, "Forecast fetched.")
    return redirect("testing:forecast", site.pk)


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
        if form.waiting:
            uploading.keep_waiting(site=site, user=request.user, form=form)
            drafts.forget(request.user, request.path)
            return redirect("testing:explain_columns", site.pk)
        return _keep(request, site, form, origin=form.origin, past=form.past)
    return render(request, "testing/scheduling/upload_forecast.html", {"site": site, "form": form})


@allow("testing.schedule")
def explain_columns(request, pk):
    """Which column of the waiting file is which."""
    site = get_object_or_404(Site, pk=pk)
    waiting = WaitingFile.objects.filter(site=site, user=request.user).first()
    if waiting is None:
        messages.error(request, "No file waits for its columns. Upload it again.")
        return redirect("testing:upload_forecast", site.pk)
    form = drafts.fill(ColumnsForm, request, initial={"unit": waiting.unit}, zone=site.zone, text=waiting.text)
    if request.method == "POST" and form.is_valid():
        readings = form.cleaned_data["readings"]
        uploading.explained(site=site, user=request.user, waiting=waiting, form=form)
        return _kept(request, site, readings, past=waiting.past)
    first_rows = waiting.text.splitlines()[:4]
    shown = {"site": site, "form": form, "waiting": waiting, "first_rows": first_rows}
    return render(request, "testing/scheduling/explain_columns.html", shown)


def _keep(request, site, form, *, origin, past=False):
    readings = form.cleaned_data["readings"]
    uploading.keep(site=site, readings=readings, past=past, origin=origin, by=request.user)
    return _kept(request, site, readings, past=past)


def _kept(request, site, readings, *, past):
    first = min(reading.starts_at for reading in readings).astimezone(site.zone)
    last = max(reading.starts_at for reading in readings).astimezone(site.zone)
    from_, to = (date_format(moment, "j M Y, H:i") for moment in (first, last))
    text = f"{len(readings)} hours kept for {site}: {from_} to {to}, {site.time_zone}."
    if past:
        return saved(request, text, "testing:past_weather", site.pk)
    response = saved(request, text, "testing:forecast", site.pk)
    response["Location"] += f"?day={first.date().isoformat()}"
    return response
