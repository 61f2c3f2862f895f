"""Whether the course of this vehicle, with run-up and run-off at its target speed, fits on a site."""

from dataclasses import dataclass

from jobs.workshop import prices
from testing.triage.editions import rule_set_for
from vehicles.calculations.errors import CaseError
from vehicles.calculations.site import MET, UNKNOWN, Site, fits
from vehicles.calculations.workup import work_up
from vehicles.case import case_for


@dataclass(frozen=True, kw_only=True)
class Room:
    """The verdict with the lengths that decide it, and in which directions it can be driven."""

    verdict: str
    text: str
    ways: str = ""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a vehicle asks of a site, or why that is not known yet."""

    course: object = None
    speeds: object = None
    masses: object = None
    why_not: str = ""


# Who drives is not known yet when a day is looked for: the least that counts as a driver.
PLANNED_DRIVER_KG = 68.0


def asked_by(job, *, driver_kg=None):
    """Course, speeds and test masses of the vehicle of a job."""
    crew = {"driver_kg": driver_kg or PLANNED_DRIVER_KG}
    try:
        case = case_for(job.vehicle, jurisdiction=job.jurisdiction, crew=crew)
    except CaseError as error:
        return Asked(why_not=f"The records contradict each other: {error.problems[0]}.")
    done = work_up(case, rules=rule_set_for(job.jurisdiction), prices=prices.book(), with_demand=False)
    why_not = ""
    if done.course is None:
        why_not = "The overall width is not known: measure it, the course follows from it."
    elif done.speeds.target_kmh is None:
        why_not = "The category is undecided: it sets the target speed and so the run-up."
    return Asked(course=done.course, speeds=done.speeds, masses=done.masses, why_not=why_not)


def room_for(job, site):
    """Met, not met or unknown, with the lengths that decide it."""
    return room_of(asked_by(job), site)


def room_of(asked, site):
    """As `room_for`, for a vehicle that was worked up already."""
    if asked.why_not:
        return Room(verdict=UNKNOWN, text=asked.why_not)
    # What is kept for running up and off at the ends carries no cones; the course may stand anywhere between.
    before_m, after_m = site.before_m or 0, site.after_m or 0
    strip = Site(
        before_m=before_m,
        course_length_m=site.length_m - before_m - after_m,
        after_m=after_m,
        width_m=site.width_m,
        level=site.level,
    )
    speed_kmh = asked.speeds.target_kmh
    fit = fits(site=strip, course=asked.course, speed_kmh=speed_kmh)
    needed_m = fit.run_up_m + asked.course.length_m + fit.run_off_m
    lengths = (
        f"At {speed_kmh} km/h it needs {needed_m:,.1f} m: run-up {fit.run_up_m:.1f} m, course "
        f"{asked.course.length_m:.1f} m, run-off {fit.run_off_m:.1f} m; {site} has {site.length_m:,.0f} m. "
        f"It needs a width of {fit.width_m:.1f} m and has {site.width_m:.1f} m."
    )
    return Room(
        verdict=fit.need,
        text=" ".join(filter(None, (lengths, _ways(fit), _level(site)))),
        ways=_ways(fit),
    )


def _ways(fit):
    good = [direction.direction for direction in fit.directions if direction.need == MET]
    if len(good) == 1:
        return f"It fits in one direction only, {good[0]}."
    return "It fits in both directions." if good else ""


def _level(site):
    if site.level is None:
        return "Whether the site is level in both directions is not recorded."
    return "" if site.level else "The site is recorded as not level."
