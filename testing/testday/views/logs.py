"""Bringing logs in, naming their columns, and looking at what they say."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.safestring import mark_safe

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, saved, saying_why
from testing import workings
from testing.testday import access, limits, logs, matching, plots, settling, waiting_logs
from testing.testday import passes as passes_told
from testing.testday.log_forms import ColumnsForm, LogForm, PassesForm
from testing.testday.models import LoggedPass
from testing.testday.views.shared import page
from vehicles.calculations.log_formats import text_of
from vehicles.calculations.log_formats_csv import headings
from vehicles.calculations.run_comparison import paths_apart

TOLD = (
    ("entry_kmh", "Entry speed", 1, "km/h"),
    ("lowest_kmh", "Lowest speed", 1, "km/h"),
    ("peak_lateral_g", "Peak lateral acceleration", 2, "g"),
    ("peak_tilt_deg", "Largest tilt", 1, "°"),
)
PLOTTED = (("speed_kmh", "Speed", "km/h"), ("lateral_g", "Lateral acceleration", "g"))


@allow("testing.run_test_day")
def upload(request, pk):
    """A file: read at once when its columns are known, else its columns are asked for."""
    day = access.recordable_day(request, pk)
    form = drafts.fill(LogForm, request, initial=logs.frame_of(day))

    def bring_in(said):
        file, instrument = logs.recognise(said["file"]), said["instrument"]
        columns = logs.remembered(instrument) if file.kind == "csv" else {}
        read = {"upload": file, "instrument": instrument, "frame": form.frame()}
        if file.kind == "csv" and not logs.fits(file, columns):
            return _ask(day, "testing:log_columns", columns={}, **read)
        return _take(request, day, columns=columns, **read)

    return acted(request, form, bring_in) or page(request, "log", day, form=form)


def _ask(day, address, **said):
    """Put the file aside and ask about it on a page of its own."""
    token = waiting_logs.keep(day=day, **said)
    return redirect(f"{reverse(address, args=[day.pk])}?log={token}")


def _take(request, day, *, instrument, **said):
    """Keep the log; where a pass and a run are left over, ask first which belongs to which."""
    reading = logs.read(day=day, **said)
    if matching.open_question(day, logs.pairs_of(day, reading)):
        return _ask(day, "testing:log_passes", instrument=instrument, **said)
    return _taken(request, day, logs.take(day=day, by=request.user, reading=reading, instrument=instrument))


def _taken(request, day, log):
    unmatched = log.passes.filter(run=None).count()
    if unmatched:
        messages.warning(request, f"{unmatched} of its passes belong to no run on the sheet.")
    drafts.forget(request.user, f"/day-sheets/{day.pk}/logs/")
    found = log.passes.count()
    return saved(request, f"{log}: {found} pass{'' if found == 1 else 'es'} found.", "testing:day_sheet", day.pk)


def _waiting(request, day):
    with saying_why(request):
        return waiting_logs.found(request.GET.get("log", ""), day=day)
    return None


@allow("testing.run_test_day")
def columns(request, pk):
    """Which column of a CSV is what."""
    day = access.recordable_day(request, pk)
    waiting = _waiting(request, day)
    if waiting is None:
        return redirect("testing:logs", day.pk)
    file = waiting.upload
    form = ColumnsForm(request.POST or None, initial=_initial(waiting.instrument), headings=_headings(file))
    if request.method == "POST" and form.is_valid():
        said = {"upload": file, "instrument": waiting.instrument, "frame": waiting.frame}
        with saying_why(request):
            answer = _take(request, day, columns=form.columns(), **said)
            waiting_logs.drop(waiting)
            return answer
    return page(request, "log_columns", day, form=form, name=file.name, sample=text_of(file.data)[:600])


@allow("testing.run_test_day")
def passes(request, pk):
    """Which pass of a log is which run, where the clock and the order do not tell."""
    day = access.recordable_day(request, pk)
    waiting = _waiting(request, day)
    if waiting is None:
        return redirect("testing:logs", day.pk)
    with saying_why(request):
        reading = logs.read(day=day, upload=waiting.upload, columns=waiting.columns, frame=waiting.frame)
        form = PassesForm(request.POST or None, day=day, pairs=logs.pairs_of(day, reading))
        if request.method == "POST" and form.is_valid():
            said = {"instrument": waiting.instrument, "runs": form.runs()}
            log = logs.take(day=day, by=request.user, reading=reading, **said)
            waiting_logs.drop(waiting)
            return _taken(request, day, log)
        return page(request, "log_passes", day, form=form, name=waiting.upload.name)
    return redirect("testing:logs", day.pk)


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
    passes = (
        LoggedPass.objects.standing().filter(log__day=day).select_related("run", "log").order_by("run__number", "pk")
    )
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
        "differences": settling.differences(one, roll_deg=limits.rolls(day)(one.run)) if one.run else [],
    }
    if "trace" in one.found:
        context["workings"] = workings.shown(passes_told.workings_of(one.found))
    if beside:
        context["table"] = _side_by_side([one, *beside])
    if drawn:
        # Our own markup, made of numbers and escaped words.
        context["plots"] = [
            mark_safe(plots.along(drawn, quantity=quantity, label=label, unit=unit, course=course))  # noqa: S308
            for quantity, label, unit in PLOTTED
        ]
        context["path"] = mark_safe(plots.path(drawn, course))  # noqa: S308
    return page(request, "logged_pass", day, **context)


def _side_by_side(passes):
    """What several passes came to, quantity by quantity."""
    rows = [(label, [_told(one.found.get(key), digits, unit) for one in passes]) for key, label, digits, unit in TOLD]
    rows.append(("Nearest cone", [_told((one.found.get("nearest") or {}).get("margin_m"), 2, "m") for one in passes]))
    numbers = range(max(len(one.found.get("sections", ())) for one in passes))
    for n in numbers:
        times = [section["time_s"] for one in passes for section in one.found.get("sections", ())[n : n + 1]]
        rows.append((f"Section {n + 1}", [_told(time_s, 2, "s") for time_s in times]))
    rows.append(("Path apart from the first, at most", ["", *(_apart(passes[0], one) for one in passes[1:])]))
    return {"names": [_name(one) for one in passes], "rows": rows}


def _apart(first, second):
    one, other = (each.found.get("trace") for each in (first, second))
    if not one or not other or one["x_m"] != other["x_m"]:
        return "not known"
    found = paths_apart(x_m=one["x_m"], first_y_m=one["y_m"], second_y_m=other["y_m"])
    return "not known" if found is None else f"{found.apart_m:.2f} m at {found.at_m:.0f} m"


def _told(value, digits, unit):
    return "not known" if value is None else f"{value:.{digits}f} {unit}"


def _name(one):
    if one.run is None:
        return f"Pass {one.number} of {one.log.original_name}"
    return f"Run {one.run.number}, {one.run.get_mass_display()}, {one.run.aimed_kmh} km/h"
