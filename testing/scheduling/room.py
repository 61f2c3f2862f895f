"""Whether the course of this vehicle, with run-up and run-off at its target speed, fits on a site."""

from dataclasses import dataclass

from testing.triage.editions import rule_set_for
from vehicles import reference
from vehicles.calculations.errors import CaseError
from vehicles.calculations.site import UNKNOWN, Site, fits
from vehicles.calculations.workup import work_up
from vehicles.case import case_for


@dataclass(frozen=True, kw_only=True)
class Room:
    verdict: str
    text: str


def room_for(job, site):
    """Met, not met or unknown, with the lengths that decide it."""
    try:
        case = case_for(job.vehicle, jurisdiction=job.jurisdiction)
    except CaseError as error:
        return Room(verdict=UNKNOWN, text=f"The records contradict each other: {error.problems[0]}.")
    done = work_up(case, rules=rule_set_for(job.jurisdiction), prices=reference.price_book(), with_demand=False)
    if done.course is None:
        return Room(verdict=UNKNOWN, text="The overall width is not known: measure it, the course follows from it.")
    if done.speeds.target_kmh is None:
        return Room(verdict=UNKNOWN, text="The category is undecided: it sets the target speed and so the run-up.")
    # The course may stand anywhere on the usable length, which counts run-up and run-off in.
    strip = Site(before_m=0, course_length_m=site.length_m, after_m=0, width_m=site.width_m, level=site.level)
    fit = fits(site=strip, course=done.course, speed_kmh=done.speeds.target_kmh)
    needed_m = fit.run_up_m + done.course.length_m + fit.run_off_m
    lengths = (
        f"At {done.speeds.target_kmh} km/h it needs {needed_m:,.1f} m: run-up {fit.run_up_m:.1f}, course "
        f"{done.course.length_m:.1f}, run-off {fit.run_off_m:.1f}; {site} has {site.length_m:,.0f} m. "
        f"It needs a width of {fit.width_m:.1f} m and has {site.width_m:.1f} m."
    )
    return Room(verdict=fit.need, text=" ".join(filter(None, (lengths, _level(site)))))


def _level(site):
    if site.level is None:
        return "Whether the site is level in both directions is not recorded."
    return "" if site.level else "The site is recorded as not level."
