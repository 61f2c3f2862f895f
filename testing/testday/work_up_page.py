"""A work-up as its page shows it: drawings made, tables set, workings under their headings."""

from django.utils.safestring import mark_safe

from testing.workings import printed
from vehicles.calculations.run_record import MASSES
from vehicles.cone_map import cone_map
from vehicles.drawings import course_drawing
from vehicles.loading_drawing import Body, loading_drawing, spots_of
from vehicles.outlook_drawing import outlook_drawing

# Which workings belong under which heading, by how their quantity begins; the rest is about height.
_PARTS = {
    "masses": ("Axle masses", "Fuel", "Test Mass", "Seat", "Luggage", "Goods", "Driver"),
    "ballast": ("Ballast", "Front axle", "Rear axle", "Lashing"),
    "centre": ("Height of the centre", "Centre of gravity"),
    "course": ("Width",),
    "site": ("Run-", "Site"),
    "speeds": ("Target", "First", "Speedometer"),
    "stability": ("Static", "Roll"),
    "demand": ("Least peak",),
    "outlook": ("Outlook",),
    "estimate": ("GST", "Total", "Lines", "Insurance"),
}
_STATES = {"room": ("met", "room"), "careful": ("discretionary", "with care"), "over": ("not-met", "over the limit")}


def shown(computed, vehicle):
    """Everything the page needs beside the job itself."""
    return {
        "work_up": computed,
        "drawing": drawing_of(computed),
        "working": workings_by_part(computed["working"]),
        "stability": [(name, computed["stability"][mass]) for mass, name in MASSES.items()],
        "loadings": loadings_of(computed, vehicle),
        "outlook_rows": outlook_rows(computed),
        "outlook_drawing": _outlook_drawing(computed),
        "centre": [(name, computed["centre_of_gravity"]["at"][mass]) for mass, name in _WITH_EMPTY.items()],
        "shown_speeds": computed["speedometer"] and computed["speedometer"]["ladder"],
    }


_WITH_EMPTY = {"empty": "Empty", **MASSES}


def _own(markup):
    """Our own markup, made of numbers and escaped words: nothing that anybody typed reaches it unescaped."""
    return mark_safe(markup)  # noqa: S308


def drawing_of(computed):
    """The course as inline SVG, or an empty text while the width is not known."""
    return _own(course_drawing(computed["course"])) if computed["course"] else ""


def tappable_cones(day):
    """The cones of a day's course, with a field for a thumb around each."""
    return _own(cone_map(day.work_up["course"]))


def _outlook_drawing(computed):
    if not computed["demand"]:
        return ""
    return _own(outlook_drawing(demand=computed["demand"], stability=computed["stability"]))


def loadings_of(computed, vehicle):
    """Both loadings with their drawing and one line for each numbered spot. Without a stock there is none."""
    return [_loading(mass, computed, vehicle) for mass in MASSES] if computed.get("ballast") else []


def planned(day, mass):
    """The plan of one mass as the day was opened with it, or None where there is none to follow."""
    if not day.work_up.get("ballast"):
        return None
    found = _loading(mass, day.work_up, day.booking.job.vehicle)
    return found if found["plan"] else None


def _loading(mass, computed, vehicle):
    found = computed["ballast"][mass]
    plan = found["plan"]
    return {
        "mass": mass,
        "name": MASSES[mass],
        **found,
        "drawing": plan and _own(loading_drawing(plan=plan, body=_body(vehicle), title=f"Loading to {MASSES[mass]}")),
        "lines": _lines(plan) if plan else [],
        "pick": _pick(plan) if plan else [],
        "axles": _axles(plan, computed) if plan else [],
        "over_gvm_kg": _over_gvm(plan, computed["masses"], mass) if plan else 0,
    }


def _over_gvm(plan, masses, mass):
    """How far whole pieces of ballast carry the vehicle over its GVM, to the tenth [kg]: above it nothing is driven."""
    if not masses.get("gvm_kg"):
        return 0
    return max(0, round(masses[f"{mass}_kg"] + plan["over_kg"] - masses["gvm_kg"], 1))


def _body(vehicle):
    return Body(
        width_mm=vehicle.overall_width_mm,
        wheelbase_mm=vehicle.wheelbase_mm,
        length_mm=vehicle.overall_length_mm,
        front_overhang_mm=vehicle.front_overhang_mm,
        driver_x_mm=vehicle.driver_x_mm,
    )


def _lines(plan):
    """A line for each place that carries something, numbered as on the drawing."""
    numbers = {place: spot.number for spot in spots_of(plan) for place in spot.places}
    lines = [
        {
            **place,
            "number": numbers[place["place"]],
            "pieces": ", ".join(
                f"{put['count']} × {put['piece']}" for put in plan["pieces"] if put["place"] == place["place"]
            ),
        }
        for place in plan["places"]
        if place["mass_kg"]
    ]
    return sorted(lines, key=lambda line: line["number"])


def _pick(plan):
    """What to fetch from the store: pieces of each kind."""
    counts = {}
    for put in plan["pieces"]:
        counts[put["piece"]] = counts.get(put["piece"], 0) + put["count"]
    return [f"{count} × {piece}" for piece, count in counts.items()]


def _axles(plan, computed):
    axles = computed["masses"]["axles"]
    return [
        {"axle": name, "kg": plan[f"{name}_axle_kg"], "rating_kg": axles[name]["rating_kg"]}
        for name in ("front", "rear")
    ]


def outlook_rows(computed):
    """Speed by speed: the demand, and at each mass the limit and what it leaves."""
    found = computed["outlook"]
    if not found:
        return []
    at = {}
    for row in found["rows"]:
        state, words = _STATES[row["state"]]
        at.setdefault(row["speed_kmh"], []).append({**row, "look": state, "words": words})
    return [{"speed_kmh": speed, "demand_g": rows[0]["demand_g"], "masses": rows} for speed, rows in at.items()]


def workings_by_part(workings):
    parts = {name: [] for name in (*_PARTS, "height")}
    for working in workings:
        part = next((name for name, begins in _PARTS.items() if working["quantity"].startswith(begins)), "height")
        parts[part].append(printed(working))
    return parts
