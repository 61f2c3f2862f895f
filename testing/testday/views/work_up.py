"""Everything computed for a job, on one page."""

from django.shortcuts import render

from jobs.access import allow
from jobs.views.shared import job_or_404
from testing.estimate import with_own_estimate
from testing.scheduling.room import room_for
from testing.testday.work_up_page import drawing_of, shown
from testing.workup import work_up_of
from vehicles.calculations.errors import CalculationError, CaseError

__all__ = ["drawing_of", "work_up"]


@allow("testing.view_triage")
def work_up(request, number):
    """Loading, course, outlook, masses, stability, cost; every deciding number can be opened."""
    job = job_or_404(number)
    try:
        computed = with_own_estimate(job, work_up_of(job))
    except CaseError as error:
        return _page(request, job, problems=[str(problem) for problem in error.problems])
    except CalculationError as error:
        return _page(request, job, problems=[str(error)])
    return _page(request, job, **shown(computed, job.vehicle), **_booked(job))


def _page(request, job, **context):
    return render(request, "testing/testday/work_up.html", {"job": job, **context})


def _booked(job):
    """The booked site, and whether the course fits there."""
    booking = job.bookings.filter(cancelled_at=None).select_related("site").first()
    return {"booked": booking.site, "room": room_for(job, booking.site)} if booking else {}
