"""The part of the sheet that a crew takes along: loading, set-out, outlook, site."""

from collections.abc import Iterator
from textwrap import wrap

from .cg_position import NAMES
from .loading import MassLoading
from .run_record import MASSES
from .sheet_lines import WIDTH, bullets, rows, value
from .wording import fixed
from .workup import WorkUp


def loading(done: WorkUp) -> Iterator[str]:
    """What to put where, and what its lashing must hold.

    Parameters: the work-up [kg, N]. Returns: lines of text.

    >>> from vehicles.reference import worked_example
    >>> next(loading(worked_example()))
    '  Test Mass 1: ballast to reach                       0.0 kg'

    Source: our own format.
    """
    if done.loading is None:
        yield "  not planned: no stock of ballast was given"
        return
    for one in (done.loading.tm1, done.loading.tm2):
        yield from _one_loading(one)
    yield from bullets((done.loading.assumed,))


def _one_loading(one: MassLoading) -> Iterator[str]:
    yield from rows((f"{MASSES[one.mass]}: ballast to reach", value(one.target_kg, "kg")))
    yield from bullets((*one.reasons, *(f"To be known: {text}" for text in one.undecided), *one.notes))
    if one.plan is None:
        return
    yield from rows(
        ("As planned from the stock", value(one.plan.mass_kg, "kg")),
        ("Front axle as loaded", value(one.plan.front_axle_kg, "kg")),
        ("Rear axle as loaded", value(one.plan.rear_axle_kg, "kg")),
    )
    for place, held in one.plan.restraint.items():
        pieces = ", ".join(f"{put.count} × {put.piece}" for put in one.plan.puts if put.place == place)
        yield f"  {place}: {fixed(one.plan.by_place[place], 0)} kg ({pieces})"
        yield (
            f"    lashing holds {fixed(held.forward_n, 0)} N forward, {fixed(held.sideways_n, 0)} N sideways and "
            f"rearward, {fixed(held.upward_n, 0)} N upward"
        )


def set_out(done: WorkUp) -> Iterator[str]:
    """Stations and offsets for two people with tapes.

    Parameters: the work-up [m]. Returns: lines of text.

    >>> from vehicles.reference import worked_example
    >>> len(list(set_out(worked_example())))
    34

    Source: our own format.
    """
    sheet = done.set_out
    if sheet is None:
        yield "  undecided: the overall width is not known"
        return
    yield from bullets(sheet.steps)
    for mark in sheet.marks:
        cone = f"Cone {mark.number:>2}, section {mark.section}, {mark.side:<5}"
        along, limit, middle = fixed(mark.station_m, 2), fixed(mark.limit_m, 3), fixed(mark.offset_m, 3)
        yield f"  {cone}: station {along:>6} m, lane limit {limit:>6} m, middle of the cone {middle:>6} m"
    for line in sheet.diagonals:
        between = f"cones {line.first} and {line.second}"
        yield f"  Diagonal, {between}: {fixed(line.length_m, 3)} ± {fixed(line.tolerance_m, 3)} m"


def outlook(done: WorkUp) -> Iterator[str]:
    """Demand against limits, speed by speed.

    Parameters: the work-up [g, km/h]. Returns: lines of text.

    >>> from vehicles.reference import worked_example
    >>> next(outlook(worked_example(with_demand=True)))
    '  - 80 km/h is the highest speed up to 80 km/h with room at both masses.'

    Source: our own format.
    """
    found = done.outlook
    if found is None:
        yield "  undecided: it needs the demand"
        return
    yield from bullets((found.reason,))
    for row in found.rows:
        yield from wrap(f"{row.reason} {row.state.capitalize()}.", WIDTH, initial_indent="  ", subsequent_indent="    ")
    yield from bullets((found.caution,))


def site(done: WorkUp) -> Iterator[str]:
    """What a site must offer.

    Parameters: the work-up [m]. Returns: lines of text.

    >>> from vehicles.reference import worked_example
    >>> next(site(worked_example())).split()
    ['Run-up', 'to', '110', 'km/h', '311.2', 'm']

    Source: our own format.
    """
    needs = done.site
    if needs is None:
        yield "  undecided: overall width and category decide it"
        return
    yield from rows(
        (f"Run-up to {needs.speed_kmh} km/h", value(needs.run_up_m, "m")),
        ("Course", value(needs.course_m, "m")),
        ("Run-off, margin included", value(needs.run_off_m, "m")),
        ("In all", value(needs.length_m, "m")),
        ("Width, margins included", value(needs.width_m, "m")),
        ("Area", value(needs.area_m2, "m²", 0)),
    )


def centre_of_gravity(done: WorkUp) -> Iterator[str]:
    """Height as measured, places along and across.

    Parameters: the work-up [mm]. Returns: lines of text.

    >>> from vehicles.reference import worked_example
    >>> next(centre_of_gravity(worked_example())).split()
    ['Height,', 'empty:', '760', 'mm', '±', '20', 'mm']

    Source: our own format.
    """
    found = done.centre_of_gravity
    height = found.height
    error = "" if height.error_mm is None else f" ± {fixed(height.error_mm, 0)} mm"
    yield f"  Height, empty: {value(height.height_mm, 'mm', 0)}{error}"
    for at in found.positions:
        yield (
            f"  {NAMES[at.mass]}: {value(at.behind_front_axle_mm, 'mm', 0)} behind the front axle, "
            f"{value(at.left_of_middle_mm, 'mm', 0)} left of the middle"
        )


def speedometer(done: WorkUp) -> Iterator[str]:
    """True speeds and what is shown at them.

    Parameters: the work-up [km/h]. Returns: lines of text.

    >>> from vehicles.reference import worked_example
    >>> next(speedometer(worked_example()))
    '  Speedometer at 80 km/h shows 74.8 km/h'

    Source: our own format.
    """
    if done.speedometer is not None:
        for row in done.speedometer.ladder:
            yield f"  Speedometer at {fixed(row.true_kmh, 0)} km/h shows {fixed(row.shown_kmh)} km/h"
