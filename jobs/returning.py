"""Owners and vehicles that were here before, found while they are typed in at the counter."""

from django.db.models import Q

from jobs import services
from jobs.models import BookLine, Job
from jobs.search_text import compact, phone_digits
from vehicles.calculations.identity import VIN_LENGTH, check_plate, check_vin

# Fewer characters than these fit half the book.
SHORTEST = {"name": 3, "phone": 5, "email": 4, "plate": 3, "vin": 5}
MOST, LOOKED_AT = 5, 30
OF_OWNER = ("name", "phone", "email")
OF_VEHICLE = ("make", "model", "plate", "vin")


def found(query):
    """What the desk should know about what is typed so far."""
    typed = {name: query.get(name, "").replace("\x00", "")[:100].strip() for name in SHORTEST}
    plate, vin = check_plate(typed["plate"]), check_vin(typed["vin"])
    return {
        "vin_says": _about(vin, whole=len(vin.text) >= VIN_LENGTH) if typed["vin"] else (),
        "plate_says": plate.errors if typed["plate"] else (),
        "open_jobs": services.open_jobs_of(vin=vin.text if vin.usable else "", plate=plate.text)[:MOST],
        "before": before(typed),
        "asked": any(typed.values()),
    }


def _about(vin, *, whole):
    # A VIN that is still being typed is not yet too short.
    return (*vin.errors, *vin.warnings) if whole else tuple(e for e in vin.errors if "cannot stand" in e)


def before(typed):
    """Earlier jobs that fit any of what is typed, latest first; each owner with each vehicle once."""
    fits = Q()
    for name, value in typed.items():
        words = [phone_digits(value)] if name == "phone" else [compact(word) for word in value.split()]
        if sum(map(len, words)) >= SHORTEST[name]:
            fits |= Q(*(("search__contains", word) for word in words))
    if not fits:
        return []
    lines = BookLine.objects.filter(fits).select_related("job__owner", "job__vehicle").order_by("-job_id")
    once = {}
    for line in lines[:LOOKED_AT]:
        vehicle = line.job.vehicle
        once.setdefault((line.job.owner_id, vehicle.vin or vehicle.plate or vehicle.name), line.job)
    return list(once.values())[:MOST]


def chosen(query):
    """The values of the form for what was chosen; empty for an address that names no job."""
    values = {}
    jobs = Job.objects.with_people()
    if job := jobs.filter(number=query.get("owner_of", "")).first():
        values |= {"owner_of": job.number, **{name: getattr(job.owner, name) for name in OF_OWNER}}
    if job := jobs.filter(number=query.get("vehicle_of", "")).first():
        values |= {"vehicle_of": job.number, "jurisdiction": job.jurisdiction}
        values |= {name: getattr(job.vehicle, name) for name in OF_VEHICLE}
    return values
