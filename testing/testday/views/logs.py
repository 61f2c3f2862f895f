"""Bringing logs in, naming their columns, and looking at what they say."""

from django.contrib import messages
from django.core import signing
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.crypto import get_random_string
from django.utils.safestring import mark_safe

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import saved
from testing.testday import access, logs, plots, settling
from testing.testday.log_forms import ColumnsForm, LogForm
from testing.testday.models import LoggedPass
from testing.testday.refused import Refused
from vehicles.calculations.log_formats import text_of
from vehicles.calculations.log_formats_csv import headings

SALT = "log that waits for its columns"
WAITS_S = 86_400
PLOTTED = (("speed_kmh", "Speed", "km/h"), ("lateral_g", "Lateral acceleration", "g"))


def _page(request, template, day, **context):
    shared = {"day": day, "job": day.booking.job, "booking": day.booking}
    return render(request, f"testing/testday/{template}.html", {**shared, **context})


@allow("testing.run_test_day")
def upload(request, pk):
    """A file: read at once when its columns are known, else its columns are asked for."""
    day = access.recordable_day(request, pk)
    form = drafts.fill(LogForm, request, initial=logs.frame_of(day))
    if request.method == "POST" and form.is_valid():
        instrument = form.cleaned_data["instrument"]
        try:
            file = logs.recognise(form.cleaned_data["file"])
            columns = logs.remembered(instrument)
            if file.kind == "csv" and not logs.fits(file, columns):
                return _ask_for_columns(request, day, file, instrument, form.frame())
            taken = logs.take(
                day=day,
                by=request.user,
                upload=file,
                instrument=instrument,
                columns=columns if file.kind == "csv" else {},
                frame=form.frame(),
            )
        except Refused as refused:
            drafts.keep(request.user, request.path, request.POST)
            messages.error(request, str(refused))
        else:
            return _taken(request, day, taken)
    return _page(request, "log", day, form=form)


def _taken(request, day, log):
    unmatched = log.passes.filter(run=None).count()
    if unmatched:
        messages.warning(request, f"{unmatched} of its passes belong to no run on the sheet.")
    drafts.forget(request.user, f"/day-sheets/{day.pk}/logs/")
    return saved(request, f"{log}: {log.passes.count()} passes found.", "testing:day_sheet", day.pk)


def _ask_for_columns(request, day, file, instrument, frame):
    name = default_storage.save(f"logs/waiting/{get_random_string(32)}", ContentFile(file.data))
    said = {"file": name, "name": file.name, "instrument": instrument, "frame": frame, "day": day.pk}
    return redirect(f"{request.path}columns/?log={signing.dumps(said, salt=SALT)}")


@allow("testing.run_test_day")
def columns(request, pk):
    """Which column of a CSV is what."""
    day = access.recordable_day(request, pk)
    try:
        said = signing.loads(request.GET.get("log", ""), salt=SALT, max_age=WAITS_S)
        with default_storage.open(said["file"]) as stored:
            file = logs.recognise(ContentFile(stored.read(), name=said["name"]))
    except (signing.BadSignature, OSError, ValueError):
        messages.error(request, "That file does not wait for its columns any more: bring it in again.")
        return redirect("testing:logs", day.pk)
    if said["day"] != day.pk:
        raise Http404
    form = ColumnsForm(request.POST or None, initial=_initial(said["instrument"]), headings=_headings(file))
    if request.method == "POST" and form.is_valid():
        try:
            taken = logs.take(
                day=day,
                by=request.user,
                upload=file,
                instrument=said["instrument"],
                columns=form.columns(),
                frame=said["frame"],
            )
        except Refused as refused:
            messages.error(request, str(refused))
        else:
            default_storage.delete(said["file"])
            return _taken(request, day, taken)
    return _page(request, "log_columns", day, form=form, name=said["name"], sample=text_of(file.data)[:600])


def _headings(file):
    return headings(text_of(file.data))


def _initial(instrument):
    found = {}
    for name, column in logs.remembered(instrument).items():
        found |= {name: column["heading"], f"{name}_unit": column["unit"]}
    return found


@allow("testing.drive", "testing.view_test_day")
def passed(request, pk, number):
    """One pass: what it came to, its plots, and beside which other runs it can be laid."""
    day = access.readable_day(request, pk)
    passes = LoggedPass.objects.filter(log__day=day).select_related("run", "log").order_by("run__number", "pk")
    one = get_object_or_404(passes, pk=number)
    beside = [other for other in passes if str(other.pk) in request.GET.getlist("beside") and other.pk != one.pk]
    drawn = [(_name(other), other.found["trace"]) for other in (one, *beside) if "trace" in other.found]
    course = day.work_up["course"]
    context = {
        "pass": one,
        "name": _name(one),
        "zone": day.booking.site.zone,
        "others": [other for other in passes if other.pk != one.pk and "trace" in other.found],
        "beside": beside,
        "differences": settling.differences(one) if one.run else [],
    }
    if drawn:
        # Our own markup, made of numbers and escaped words.
        context["plots"] = [
            mark_safe(plots.along(drawn, quantity=quantity, label=label, unit=unit, course=course))  # noqa: S308
            for quantity, label, unit in PLOTTED
        ]
        context["path"] = mark_safe(plots.path(drawn, course))  # noqa: S308
    return _page(request, "logged_pass", day, **context)


def _name(one):
    if one.run is None:
        return f"Pass {one.number} of {one.log.original_name}"
    return f"Run {one.run.number}, {one.run.get_mass_display()}, {one.run.aimed_kmh} km/h"
