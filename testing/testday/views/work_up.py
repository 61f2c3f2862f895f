"""Everything computed for a job, on one page."""

from django.shortcuts import render
from django.utils.safestring import mark_safe

from jobs.access import allow
from jobs.views.shared import job_or_404
from testing.workup import work_up_of
from vehicles.calculations.errors import CalculationError, CaseError
from vehicles.calculations.wording import plain
from vehicles.drawings import course_drawing

DECIMALS = 4
# Which workings belong under which heading, by how their quantity begins.
_PARTS = {
    "masses": ("Fuel", "Test Mass", "Seat", "Luggage", "Goods", "Driver"),
    "course": ("Width",),
    "speeds": ("Target", "First"),
    "stability": ("Static", "Height of the centre", "Roll"),
    "estimate": ("GST",),
}


@allow("testing.view_triage")
def work_up(request, number):
    """Masses, course, speeds, demand, stability, cost; every deciding number can be opened."""
    job = job_or_404(number)
    try:
        computed = work_up_of(job)
    except CaseError as error:
        return _page(request, job, problems=[str(problem) for problem in error.problems])
    except CalculationError as error:
        return _page(request, job, problems=[str(error)])
    return _page(request, job, **shown(computed))


def _page(request, job, **context):
    return render(request, "testing/testday/work_up.html", {"job": job, **context})


def shown(computed):
    """A work-up as its page shows it: the drawing made, the workings under their headings."""
    return {
        "work_up": computed,
        "drawing": drawing_of(computed),
        "working": workings_by_part(computed["working"]),
        "stability": [("Test Mass 1", computed["stability"]["tm1"]), ("Test Mass 2", computed["stability"]["tm2"])],
    }


def drawing_of(computed):
    """The course as inline SVG, or an empty text while the width is not known."""
    # Our own markup, made of numbers and escaped words: nothing that anybody typed reaches it.
    return mark_safe(course_drawing(computed["course"])) if computed["course"] else ""  # noqa: S308


def course_of(day):
    """The course of a day with a hand for every cone: the run screen lets a cone be tapped."""
    return mark_safe(course_drawing(day.work_up["course"], tappable=True))  # noqa: S308  our own markup, as above


def workings_by_part(workings):
    parts = {name: [] for name in (*_PARTS, "height")}
    for working in workings:
        part = next((name for name, begins in _PARTS.items() if working["quantity"].startswith(begins)), "height")
        value = working["value"]
        printed = "undecided" if value is None else f"{plain(round(value, DECIMALS))} {working['unit']}"
        parts[part].append({**working, "printed": printed})
    return parts
