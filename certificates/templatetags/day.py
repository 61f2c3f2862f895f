"""Reading a test day aloud: its masses, loadings, runs and the stability it was driven with.

The record keeps every digit; paper shows no more than was known. A computed mass is known to
kilograms and a lane is set out with a tape, to the centimetre.
"""

from django import template

from certificates.templatetags.record import moment
from testing.testday.loading import PLACES
from testing.testday.models import MASSES

register = template.Library()
_NBSP = "\N{NO-BREAK SPACE}"


def _kg(value, places=0):
    return f"{value:,.{places}f}{_NBSP}kg"


@register.filter
def kg(value):
    """A computed mass."""
    return "not recorded" if value is None else _kg(value)


@register.filter
def weighed_kg(value, basis):
    """A mass as it was found: to the tenth that scales print, where they did."""
    tenths = basis == "weighed" and round(value, 1) != round(value)
    return _kg(value, 1 if tenths else 0)


@register.filter
def metres(value):
    return f"{value:.2f}{_NBSP}m"


@register.filter
def axles(load):
    """What each axle carried, where somebody weighed it."""
    found = [(name, load.get(f"{name}_kg")) for name in ("front", "rear")]
    return ", ".join(f"{name} axle {weighed_kg(value, 'weighed')}" for name, value in found if value is not None)


@register.filter
def places(load):
    """What lay where, place by place."""
    named = [
        (PLACES[key][0] if key in PLACES else key.replace("_", " "), value) for key, value in load["places"].items()
    ]
    return ", ".join(f"{name.lower()} {_kg(value, 1 if value % 1 else 0)}" for name, value in named if value)


@register.filter
def loaded(day, mass):
    """How a test mass was known on the day: by the last loading for it, or by computing alone."""
    rows = [load for load in day.get("loadings", ()) if load["mass"] == mass and load["met"]]
    if not rows:
        return "computed, no loading recorded"
    last = rows[-1]
    return f"loaded to {weighed_kg(last['total_kg'], last['basis'])}, {last['basis']}"


@register.filter
def verdict_of(run):
    """What a run was good for, in the words of the day sheet."""
    if run.get("struck"):
        return "struck out"
    if not run["counts"]:
        return "does not count"
    if run["outcome"] != "clean" or run.get("wheel_lift"):
        return "counts as failed"
    slow = run["measured_kmh"] is None or run["measured_kmh"] < run["aimed_kmh"]
    return "opens nothing" if slow else "counts"


@register.filter
def notes_of(run, zone):
    """Why, what else was seen and what was remarked: in a line of its own, for it can be long."""
    why = ""
    if struck := run.get("struck"):
        why = f"{struck['reason']} ({struck['by']}, {moment(struck['at'], zone)})"
    elif not run["counts"]:
        why = run["not_counting_because"].removesuffix(".")
    return "; ".join(filter(None, (why, *_seen_of(run), run.get("remark"))))


def _seen_of(run):
    """What else was seen of a run and bears on safety, part by part."""
    found = []
    if run.get("cones"):
        found.append(f"cone{'s' if len(run['cones']) > 1 else ''} {', '.join(map(str, run['cones']))} struck")
    if run.get("gust_mps") is not None:
        found.append(f"gust {run['gust_mps']:g}{_NBSP}m/s")
    if run.get("roll_deg") is not None:
        found.append(f"roll {run['roll_deg']:g}°")
    if run.get("wheel_lift"):
        found.append("a wheel lifted")
    if run.get("driver_stops"):
        found.append("the driver did not want to go on")
    return found


@register.filter
def stability_rows(work_up):
    """One row for each mass of which the height of the centre of gravity is known or estimated."""
    for mass, title in MASSES:
        item = (work_up.get("stability") or {}).get(mass) or {}
        rough = item.get("estimated")
        if item.get("ssf") is not None:
            yield {"title": title, "basis": "from the measured height", "figures": item}
        elif rough:
            yield {"title": title, "basis": "estimate, not measured", "figures": rough}


@register.filter
def demand_of(work_up):
    """The least lateral acceleration that the course asks for at each speed of the climb."""
    ladder = work_up["speeds"]["ladder_kmh"]
    rows = [row for row in work_up.get("demand") or () if row["speed_kmh"] in ladder]
    return [f"{row['speed_kmh']} km/h {row['peak_lateral_g']:.2f} g" for row in rows]


@register.filter
def but_planning(cautions):
    """What the crew was told about the drive, without what the work-up says of itself as a plan."""
    return [text for text in cautions if not text.startswith("Planning aid only")]
