"""Who and what a test day was opened with, copied: registers of crew, sites and instruments go on after it."""

_SITE = ("name", "place", "surface", "time_zone")


def as_booked(booking):
    """Site, driver, crew and instruments as they stand now, as plain data; ``id`` tells them from later ones."""
    return {
        "site": {name: getattr(booking.site, name) for name in _SITE},
        "driver": driver(booking.driver),
        "crew": [person(member) for member in booking.observers.all()],
        "instruments": [instrument(item) for item in booking.instruments.all()],
    }


def person(member):
    return {"id": member.pk, "name": member.name}


def driver(member):
    return {
        **person(member),
        "skill_evidence": member.skill_evidence,
        "evidence_valid_to": _day(member.evidence_valid_to),
        "mass_kg": member.mass_kg,
    }


def instrument(item):
    return {
        "id": item.pk,
        "name": item.name,
        "kind": item.get_kind_display(),
        "serial": item.serial,
        "calibration": item.certificate,
        "calibrated_on": _day(item.calibrated_on),
        "calibrated_until": _day(item.valid_to),
    }


def _day(on):
    return on and on.isoformat()
