"""The work-up as a sheet to read: rounded for the eye, everything that decides spelled out."""

from collections.abc import Iterable, Iterator
from textwrap import wrap

from . import sheet_test_plan as plan
from .consequences import consequences
from .explain import Reason
from .rulesets import UNCHECKED
from .sheet_lines import WIDTH, bullets, rows, value
from .stability import Stability
from .wording import fixed
from .workup import WorkUp

NEED = {
    "required": "REQUIRED",
    "discretionary": "AT THE SIGNATORY'S DISCRETION",
    "not_required": "not required",
    "not_applicable": "not applicable",
    "undecided": "UNDECIDED",
}


def sheet(done: WorkUp) -> str:
    """The whole work-up as text, 100 columns wide. Numbers are rounded here and nowhere else.

    Parameters: the work-up [mm, kg, g, AUD by name]. Returns: lines of text.

    >>> from vehicles.reference import worked_example
    >>> sheet(worked_example()).splitlines()[0]
    'WORK-UP'

    Source: our own format.
    """
    parts = (
        ("WORK-UP", _title(done)),
        ("CATEGORY", _category(done)),
        ("HEIGHT", _height(done)),
        ("REQUIREMENTS", _requirements(done)),
        ("MASSES", _masses(done)),
        ("LOADING", plan.loading(done)),
        ("COURSE (ISO 3888-1)", _course(done)),
        ("SET-OUT SHEET", plan.set_out(done)),
        ("SPEEDS", (*_speeds(done), *plan.speedometer(done))),
        ("CENTRE OF GRAVITY", plan.centre_of_gravity(done)),
        ("STABILITY", _stability(done)),
        ("DEMAND OF THE COURSE", _demand(done)),
        ("OUTLOOK", plan.outlook(done)),
        ("SITE", plan.site(done)),
        ("ESTIMATE", _estimate(done)),
        ("UNDECIDED", bullets(done.undecided or ("Nothing.",))),
        ("CAUTIONS", bullets(done.cautions)),
    )
    return "\n\n".join("\n".join((title, "-" * len(title), *lines)) for title, lines in parts)


def _reasons(reasons: Iterable[Reason]) -> Iterator[str]:
    for reason in reasons:
        yield from wrap(reason.text, WIDTH, initial_indent="  - ", subsequent_indent="    ")
        source = f"Source: {reason.source}"
        yield from wrap(source, WIDTH, initial_indent="    ", subsequent_indent="    ")


def _title(done: WorkUp) -> Iterator[str]:
    where = done.case.jurisdiction or "undecided"
    yield from rows(("Jurisdiction", where), ("GVM after modification", value(done.category.gvm_kg, "kg", 0)))
    for edition in done.rules.editions:
        mark = f"checked by {edition.checked_by}" if edition.checked_by else UNCHECKED
        yield from wrap(
            f"Edition {edition.id}: {edition.title}, {mark}",
            WIDTH,
            initial_indent="  ",
            subsequent_indent="    ",
        )


def _category(done: WorkUp) -> Iterator[str]:
    yield f"  {done.category.code or 'undecided'}"
    yield from _reasons((*done.category.reasons, *consequences(category=done.category, rules=done.rules)))


def _height(done: WorkUp) -> Iterator[str]:
    height = done.height
    yield from rows(
        ("Suspension (larger axle)", value(height.suspension_mm, "mm")),
        ("Body", value(height.body_mm, "mm")),
        ("Tyres (half the diameter change)", value(height.tyre_mm, "mm")),
        ("Overall rise", value(height.total_mm, "mm")),
    )
    change = height.tyres
    if change is not None:
        for name, tyre in (("before", change.before), ("now", change.after)):
            handbook = "" if tyre.handbook_mm is None else f" (handbook {fixed(tyre.handbook_mm, 0)} mm)"
            yield f"  Tyre {name}: {tyre.size}, {fixed(tyre.diameter_mm)} mm{handbook}"
        yield f"  Diameter: {fixed(change.change_mm)} mm, {fixed(change.change_percent, 2)} %"
    yield from bullets(check.text for check in done.limits if check.amount != 0)


def _requirements(done: WorkUp) -> Iterator[str]:
    for item in done.requirements:
        line = f"{item.code}, {item.title}: {NEED[item.need]}"
        yield from wrap(line, WIDTH, initial_indent="  ", subsequent_indent="    ")
        yield from _reasons(item.reasons)
        yield from bullets(f"To be known: {text}" for text in item.undecided)


def _masses(done: WorkUp) -> Iterator[str]:
    masses = done.masses
    yield from rows(
        ("Fuel added", value(masses.fuel_added_kg, "kg")),
        ("Driver", value(masses.driver_kg, "kg")),
        ("Driver's ballast", value(masses.driver_ballast_kg, "kg")),
        ("Instruments", value(masses.instruments_kg, "kg")),
        ("Missing standard equipment", value(masses.missing_equipment_kg, "kg")),
        ("Test Mass 1", value(masses.tm1_kg, "kg")),
        ("Seat ballast", value(masses.seat_ballast_kg, "kg")),
        ("Luggage ballast", value(masses.luggage_ballast_kg, "kg")),
        ("Goods ballast", value(masses.goods_ballast_kg, "kg")),
        ("Test Mass 2", value(masses.tm2_kg, "kg")),
        ("Margin to GVM at Test Mass 1", value(masses.tm1_margin_kg, "kg")),
        ("Margin to GVM at Test Mass 2", value(masses.tm2_margin_kg, "kg")),
        ("Within the GVM", {True: "yes", False: "NO", None: "undecided"}[masses.within_gvm]),
    )
    for axle in (done.axles.front, done.axles.rear):
        yield (
            f"  {axle.axle.capitalize()} axle, rating {value(axle.rating_kg, 'kg', 0)}: empty "
            f"{value(axle.empty_kg, 'kg')}, Test Mass 1 {value(axle.tm1_kg, 'kg')}, "
            f"Test Mass 2 {value(axle.tm2_kg, 'kg')}"
        )


def _course(done: WorkUp) -> Iterator[str]:
    course = done.course
    if course is None:
        yield "  undecided: the overall width is not known"
        return
    yield f"  Length {fixed(course.length_m, 0)} m, offset {fixed(course.offset_m)} m, {len(course.cones)} cones"
    for section in course.sections:
        width = "no lane" if section.width_m is None else f"width {fixed(section.width_m, 3)} m"
        yield (
            f"  Section {section.number}: from {fixed(section.start_m, 0):>3} m, "
            f"length {fixed(section.length_m, 0)} m, {width}"
        )


def _speeds(done: WorkUp) -> Iterator[str]:
    speeds = done.speeds
    target = None if speeds.target_kmh is None else float(speeds.target_kmh)
    yield from rows(
        ("Target", value(target, "km/h", 0)),
        ("First attempt at or below", f"{speeds.first_max_kmh} km/h"),
        ("Ladder", ", ".join(map(str, speeds.ladder_kmh)) or "undecided"),
        ("Wind at most", f"{fixed(done.rules.value('wind.limit_mps'))} m/s"),
    )


def _stability(done: WorkUp) -> Iterator[str]:
    for name, item in zip(("Test Mass 1", "Test Mass 2"), done.stability, strict=True):
        yield from rows(
            (f"{name}: centre of gravity", _with_error(item)),
            (f"{name}: static stability factor", value(item.ssf, "", 2)),
        )
        if item.threshold_low_g is not None:
            yield (
                f"    factor {fixed(item.ssf_low or 0, 2)} to {fixed(item.ssf_high or 0, 2)}, rolls at about "
                f"{fixed(item.threshold_low_g, 2)} to {fixed(item.threshold_high_g or 0, 2)} g"
            )
        rough = item.estimated
        if rough is not None:
            yield (
                f"    estimate, not measured: {fixed(rough.cg_height_mm, 0)} ± {fixed(rough.cg_error_mm, 0)} mm, "
                f"factor {fixed(rough.ssf_low, 2)} to {fixed(rough.ssf_high, 2)}"
            )


def _with_error(item: Stability) -> str:
    if item.cg_height_mm is None or item.cg_error_mm is None:
        return "undecided"
    return f"{fixed(item.cg_height_mm, 0)} ± {fixed(item.cg_error_mm, 0)} mm"


def _demand(done: WorkUp) -> Iterator[str]:
    if not done.demand:
        yield "  undecided: overall width and length are needed"
    for item in done.demand:
        yield f"  {item.speed_kmh:>4} km/h: at least {fixed(item.peak_lateral_g, 2)} g lateral"


def _estimate(done: WorkUp) -> Iterator[str]:
    cost = done.estimate
    for line in cost.lines:
        yield f"  {line.label:<52}{line.low:>12,.2f}{line.likely:>12,.2f}{line.high:>12,.2f}"
    total = "Total AUD, GST included (low, likely, high)"
    yield f"  {total:<52}{cost.low_aud:>12,.2f}{cost.likely_aud:>12,.2f}{cost.high_aud:>12,.2f}"
