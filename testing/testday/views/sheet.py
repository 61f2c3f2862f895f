"""The day sheet, and opening a day."""

from itertools import groupby

from django.db.models import Prefetch
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.access import allow
from jobs.views.shared import job_or_404, saying_why
from testing import workings
from testing.scheduling import go
from testing.testday import access, checks, instruments, ladder, limits, loading, rating, readiness, settling, stale
from testing.testday.locking import closed_because
from testing.testday.models import MASSES, LoggedPass
from testing.testday.opening import open_day
from testing.testday.procedure import FIRST_MASS, FIRST_RUN, SECOND_MASS, lane_change
from testing.testday.recording import UNDO_WITHIN
from testing.testday.state import state_of
from testing.testday.views.loading import picture
from testing.testday.views.work_up import drawing_of
from testing.testday.work_up_page import planned

FEW_CHECKS = 3


@allow("testing.run_test_day")
@require_POST
def open_test_day(request, number):
    """From the booking to the sheet that the crew works from."""
    job = job_or_404(number)
    with saying_why(request):
        return redirect("testing:day_sheet", open_day(job=job, by=request.user).pk)
    return redirect(job)


@allow("testing.drive", "testing.view_test_day")
def day_sheet(request, pk):
    """What the crew works from on the day, on a phone: what to do next, then everything behind it."""
    day = access.readable_day(request, pk)
    return render(request, "testing/testday/day_sheet.html", sheet(request.user, day))


def sheet(user, day):
    """All that the day sheet shows."""
    closed = closed_because(day)
    return {
        "day": day,
        "job": day.booking.job,
        "booking": day.booking,
        "zone": day.booking.site.zone,
        "not_today": readiness.other_date(day),
        "procedure": lane_change(),
        "gust_mps": limits.gust_mps(day),
        "roll_deg": limits.roll_deg(day),
        "closed": closed,
        "changes": [] if closed else stale.changes(day),
        "may_record": access.may_record(user, day) and not closed,
        "may_sign": access.is_driver(user, day) and not closed,
        "drawing": drawing_of(day.work_up),
        "state": state_of(day, user),
        **_before(day),
        **_driven(user, day),
    }


def _before(day):
    """What is looked at and loaded before anybody drives."""
    done = checks.settled(day)
    taken_back = list(checks.taken_back(day))
    open_checks = {mass: checks.missing(day, mass=mass) for mass, _ in MASSES}
    return {
        "check_groups": [
            {
                "title": title,
                "groups": _check_groups(day, done, taken_back, before),
                "open": _open(done, before),
                "place": before,
            }
            for before, title in _PARTS
        ],
        "checks_missing": len(open_checks[FIRST_MASS]),
        "checks_open": any(item.key not in done for item in lane_change().checks),
        "loadings": [_loading(day, mass, name) for mass, name in MASSES],
        "people": [item.text for item in readiness.not_met_today(day)],
        "go": go.latest(day.booking),
    }


_PARTS = (
    (FIRST_RUN, "Before the first run"),
    (FIRST_MASS, "Before the runs at Test Mass 1"),
    (SECOND_MASS, "Before the runs at Test Mass 2"),
)


def _open(done, before):
    return sum(item.before == before and item.key not in done for item in lane_change().checks)


def _check_groups(day, done, taken_back, before):
    rows = [
        {
            **_check_row(day, item, done.get(item.key)),
            "taken_back": [back for back in taken_back if (back.confirmed or back.excepted).key == item.key],
        }
        for item in lane_change().checks
        if item.before == before
    ]
    return [(group, list(found)) for group, found in groupby(rows, key=lambda row: row["item"].group)]


def _check_row(day, item, check):
    """One check, with the instrument that is booked for it; where none is, it has to be named."""
    told = instruments.told(day, item.instrument) if item.instrument else ""
    must = bool(item.instrument) and not told
    return {"item": item, "check": check, "told": told, "must": must, "asks": instruments.ASKS if must else item.asks}


def _loading(day, mass, name):
    target, lowest, highest = loading.limits(day, mass)
    kept = loading.last_to(day, mass)
    return {
        "mass": mass,
        "name": name,
        "target": target,
        "lowest": lowest,
        "highest": highest,
        "kept": kept,
        "picture": picture(day, mass),
        "planned": planned(day, mass),
    }


def _driven(user, day):
    """The climb so far, and what waits for somebody's word."""
    progress = ladder.progress_of(day)
    statement = getattr(day, "statement", None)
    return {
        "masses": [_mass(day, step) for step in progress],
        "runs": [_run(user, run) for run in _runs(day)],
        "releases": day.releases.select_related("by"),
        "stops": day.stops.select_related("by"),
        "open_items": settling.open_items(day),
        "settlements": day.settlements.select_related("by"),
        "statement": statement,
        "ratings": rated(statement),
        "countersignature": getattr(statement, "countersignature", None),
        "all_clean": all(step.passed for step in progress),
        "logs": day.logs.prefetch_related(Prefetch("passes", LoggedPass.objects.standing().select_related("run"))),
    }


def _runs(day):
    return (
        day.runs.select_related("by", "struck__by", "corrects", "corrected_by")
        .prefetch_related("photos")
        .order_by("-number")
    )


def _run(user, run):
    """A run, and whether the one who wrote it down can still take it back."""
    run.undoable = run.by_id == user.pk and not hasattr(run, "struck") and timezone.now() - run.when < UNDO_WITHIN
    return run


def rated(statement):
    """What the driver gave to each aspect at each mass, in words."""
    if statement is None or not statement.ratings:
        return []
    rows = []
    for aspect in lane_change().aspects:
        given = [statement.ratings.get(mass, {}).get(aspect.key) for mass, _ in MASSES]
        rows.append((aspect.text, [(value, rating.word(value)) for value in given]))
    return rows


def _in_short(waiting):
    """Many open checks as one line: they stand on this sheet themselves."""
    open_checks = [item for item in waiting if item.place == "checks"]
    if len(open_checks) <= FEW_CHECKS:
        return waiting
    rest = [item for item in waiting if item.place != "checks"]
    return [readiness.Waiting(text=f"{len(open_checks)} checks that are not confirmed yet", place="checks"), *rest]


def _mass(day, step):
    """One mass with its rungs: which are done, which is open, and what its runs still wait for."""
    rungs = []
    for speed in day.work_up["speeds"]["ladder_kmh"]:
        reached = step.passed or (step.clean_kmh is not None and speed <= step.clean_kmh)
        rungs.append((speed, "done" if reached else "now" if speed == step.next_kmh else "later"))
    label, _, why = step.reason.partition(": ")
    return {
        "step": step,
        "label": label,
        "why": why,
        "rungs": rungs,
        "mass_kg": day.work_up["masses"][f"{step.mass}_kg"],
        "waits_for": _in_short(readiness.waits_for(day, mass=step.mass)),
        "workings": workings.shown([ladder.working(day, step)]),
    }
