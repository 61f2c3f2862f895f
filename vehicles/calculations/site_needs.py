"""What any site must offer for this course at its target speed."""

from dataclasses import dataclass

from .course import Course
from .explain import Working
from .site import Site, fits


@dataclass(frozen=True, kw_only=True)
class SiteNeeds:
    """Lengths and width that a site must have, level both ways [km/h, m, m²]."""

    speed_kmh: int
    run_up_m: float
    course_m: float
    run_off_m: float
    length_m: float
    width_m: float
    area_m2: float
    workings: tuple[Working, ...]


def site_needs(*, course: Course, speed_kmh: int) -> SiteNeeds:
    """Run-up, course, run-off with its margin, and the width with a margin on each side.

    Parameters: the course [m], the highest speed of the ladder [km/h]. Returns: SiteNeeds; the
    area is that of the whole strip [m²]. Raises CalculationError for a speed out of range.

    >>> from vehicles.calculations.course import lay_out
    >>> needs = site_needs(course=lay_out(width_mm=1885), speed_kmh=110)
    >>> round(needs.run_up_m, 1), round(needs.run_off_m, 1), round(needs.length_m, 1)
    (311.2, 233.7, 669.9)

    Notes: the same assumptions as ``site.fits``, which holds them against a site.

    Source: see ``stopping``; margins of 20 m and 3 m are common practice.
    """
    nowhere = Site(before_m=None, course_length_m=None, after_m=None, width_m=None, level=None)
    needed = fits(site=nowhere, course=course, speed_kmh=speed_kmh)
    length = needed.run_up_m + course.length_m + needed.run_off_m
    area = Working(
        quantity="Site needed",
        formula="(run-up + course + run-off) × width",
        inputs={
            "run-up": f"{needed.run_up_m:.1f} m",
            "course": f"{course.length_m:.1f} m",
            "run-off": f"{needed.run_off_m:.1f} m",
            "width": f"{needed.width_m:.2f} m, 3 m kept free on each side",
        },
        value=length * needed.width_m,
        unit="m²",
        source="sum and product; margins of 20 m and 3 m are common practice, no published source",
    )
    return SiteNeeds(
        speed_kmh=speed_kmh,
        run_up_m=needed.run_up_m,
        course_m=course.length_m,
        run_off_m=needed.run_off_m,
        length_m=length,
        width_m=needed.width_m,
        area_m2=length * needed.width_m,
        workings=(*needed.workings, area),
    )
