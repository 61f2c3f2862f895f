"""The day sheet, and opening a day."""

from itertools import groupby

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.access import allow
from jobs.views.shared import job_or_404
from testing.testday import access, checks, ladder, stale
from testing.testday.locking import closed_because
from testing.testday.opening import open_day
from testing.testday.procedure import FIRST_RUN, SECOND_MASS, lane_change
from testing.testday.refused import Refused
from testing.testday.views.work_up import drawing_of


@allow("testing.run_test_day")
@require_POST
def open_test_day(request, number):
    """From the booking to the sheet that the crew works from."""
    job = job_or_404(number)
    try:
        day = open_day(job=job, by=request.user)
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect(job)
    return redirect("testing:day_sheet", day.pk)


@allow("testing.drive", "testing.view_test_day")
def day_sheet(request, pk):
    """What the crew works from on the day, on a phone: what to do next, then everything behind it."""
    day = access.readable_day(request, pk)
    return render(request, "testing/testday/day_sheet.html", sheet(request.user, day))


def sheet(user, day):
    """All that the day sheet shows."""
    progress = ladder.progress_of(day)
    done = checks.confirmed(day)
    closed = closed_because(day)
    may_record = access.may_record(user, day) and not closed
    return {
        "day": day,
        "job": day.booking.job,
        "booking": day.booking,
        "zone": day.booking.site.zone,
        "not_today": _date_differs(day),
        "procedure": lane_change(),
        "closed": closed,
        "changes": [] if closed else stale.changes(day),
        "masses": [_mass(day, step, done) for step in progress],
        "check_groups": _check_groups(done, FIRST_RUN),
        "second_mass_checks": _check_groups(done, SECOND_MASS),
        "second_mass_missing": len(checks.missing(day, mass=SECOND_MASS)) - len(checks.missing(day, mass="tm1")),
        "checks_missing": len(checks.missing(day, mass="tm1")),
        "runs": day.runs.select_related("by", "struck__by").order_by("-number"),
        "releases": day.releases.select_related("by"),
        "statement": getattr(day, "statement", None),
        "all_clean": all(step.passed for step in progress),
        "may_record": may_record,
        "may_sign": access.is_driver(user, day) and not closed,
        "drawing": drawing_of(day.work_up),
    }


def _date_differs(day):
    zone = day.booking.site.zone
    return timezone.localdate(timezone=zone) != timezone.localdate(day.booking.starts_at, zone)


def _mass(day, step, done):
    """One mass with its rungs: which are done, which is open, and what its runs still wait for."""
    rungs = []
    for speed in day.work_up["speeds"]["ladder_kmh"]:
        reached = step.clean_kmh is not None and speed <= step.clean_kmh
        rungs.append((speed, "done" if reached else "now" if speed == step.next_kmh else "later"))
    label, _, why = step.reason.partition(": ")
    waits = [item for item in lane_change().checks if item.key in lane_change().keys(mass=step.mass)]
    return {
        "step": step,
        "label": label,
        "why": why,
        "rungs": rungs,
        "mass_kg": day.work_up["masses"][f"{step.mass}_kg"],
        "waits_for": [item for item in waits if item.key not in done],
    }


def _check_groups(done, before):
    items = [(item, done.get(item.key)) for item in lane_change().checks if item.before == before]
    return [(group, list(rows)) for group, rows in groupby(items, key=lambda row: row[0].group)]
