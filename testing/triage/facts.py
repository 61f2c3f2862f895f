"""The facts that a triage rests on, each with the place where it is mended."""

from dataclasses import dataclass

from django.urls import reverse

from jobs.workshop import prices
from vehicles.calculations import ranges
from vehicles.calculations.errors import CaseError
from vehicles.calculations.workup import work_up
from vehicles.case import case_for
from vehicles.plainly import plainly

SHOWN = ("gvm_kg", "seats", "empty_mass_kg")
_WORDS = ("adr_category", "fuel", "tyre")
# Gaps that name no single field of the forms.
_PLACES = {"unladen mass": "empty_mass_kg", "vehicle.adr_category": "adr_category"}


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One fact as it is known, with the page and the field where it is entered."""

    label: str
    value: str
    url: str
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Gap:
    """One thing to find out, and where it is entered; some are decided on the vehicle alone."""

    text: str
    url: str = ""


def facts_for(job):
    """What is known of the vehicle and of each modification."""
    vehicle, form = job.vehicle, reverse("jobs:vehicle", args=[job.number])
    yield _fact("ADR category, as presented", vehicle.adr_category, form, "adr_category")
    for name in SHOWN:
        row, value = ranges.VEHICLE[name], getattr(vehicle, name)
        yield _fact(row.label, "" if value is None else f"{value:,.10g} {row.unit}".strip(), form, name)
    yield _fact("Original tyre size", vehicle.tyre, form, "tyre")
    listed = reverse("jobs:modifications", args=[job.number])
    for number, mod in enumerate(vehicle.modifications.all(), start=1):
        measured = ", ".join(f"{name} {value}" for name, value in mod.measurements())
        value = " · ".join(filter(None, (measured, mod.note))) or ("" if mod.missing() else "on the list")
        title = f"{number}. {mod.get_kind_display()}"
        yield Fact(label=title, value=value, url=listed, missing=tuple(f"{each} is missing" for each in mod.missing()))


def _fact(title, value, form, name):
    url = f"{form}#id_{name}"
    return Fact(label=title, value=value or "", url=url, missing=() if value else ("not known",))


def gaps(job, undecided):
    """Each thing that is missing, in words, with a link to its field."""
    return [Gap(text=text, url=_url(job, raw)) for raw in undecided for text in plainly([raw])]


def _url(job, raw):
    path = raw.partition(": ")[0]
    if path.startswith(("modifications[", "tyre diameters")):
        return reverse("jobs:modifications", args=[job.number])
    name = _PLACES.get(path) or path.rpartition(".")[2]
    known = name in (*ranges.VEHICLE, *ranges.PLACES, *_WORDS)
    return f"{reverse('jobs:vehicle', args=[job.number])}#id_{name}" if known else ""


def later(job, rule_set, already):
    """What a test day will ask for and the decision does not. Empty while the facts contradict each other."""
    try:
        case = case_for(job.vehicle, jurisdiction=job.jurisdiction)
    except CaseError:
        return []
    done = work_up(case, rules=rule_set, prices=prices.book(), with_demand=False)
    return gaps(job, [raw for raw in done.undecided if raw not in already])
