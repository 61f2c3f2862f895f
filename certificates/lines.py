"""Lines of the register: what a sealed record says, laid out so that it can be searched by."""

from datetime import date

from django.db import transaction

from certificates import terms
from certificates.models import RegisterKey, RegisterLine
from certificates.models.event import SUPERSEDED, TRANSFERRED, WITHDRAWN
from certificates.models.line import VALID

# Days since year 1, then the entry: one whole number that orders the register by day and entry.
_ENTRIES_A_DAY = 10**8


def place(day, entry, *, imported=False):
    return day.toordinal() * _ENTRIES_A_DAY + 2 * entry + imported


def first_place(day):
    return day.toordinal() * _ENTRIES_A_DAY


def place_after(day):
    """Where the day behind it begins; the last day that can be written has one as well."""
    return (day.toordinal() + 1) * _ENTRIES_A_DAY


def day_of(place):
    return date.fromordinal(place // _ENTRIES_A_DAY)


def facts_of(record):
    """The columns of the line of a certificate that was sealed here."""
    vehicle, day = record["vehicle"], _decisive(record)
    signatory = record["signatory"]
    return {
        "number": record["number"],
        "issued_on": date.fromisoformat(record["issued_on"]),
        "vehicle": vehicle["name"][:120],
        "plate": vehicle["plate"],
        "vin": vehicle["vin"],
        "owner": record["owner"]["name"],
        "engineer": f"{signatory['name']}, {signatory['authority_number']}"[:160],
        "jurisdiction": record["job"]["jurisdiction"],
        "outcome": record["outcome"]["code"],
        "wind_mps": day["weather"]["counting_runs"]["wind_high_mps"] if day else None,
        "speed_kmh": day["work_up"]["speeds"]["target_kmh"] if day else None,
    }


def facts_of_import(record):
    """The same columns of a certificate from before this system."""
    names = ("number", "vehicle", "plate", "vin", "owner", "engineer", "jurisdiction", "outcome")
    return {
        **{name: record[name] for name in names},
        "issued_on": date.fromisoformat(record["issued_on"]),
        "wind_mps": record["wind_mps"],
        "speed_kmh": record["speed_kmh"],
    }


def _decisive(record):
    return next((day for day in record["test_days"] if day["decides"]), None)


def facts(subject):
    return facts_of(subject.record) if hasattr(subject, "check_code") else facts_of_import(subject.record)


def modifications(record):
    """Kinds of modification, and the codes of what the signed triage requires for them."""
    asked = (record.get("triage") or {}).get("requirements", ())
    required = [line["code"] for line in asked if line["need"] == "required"]
    return [item if isinstance(item, str) else item["kind"] for item in record["modifications"]] + required


def place_of(subject):
    if hasattr(subject, "check_code"):
        return place(subject.issued_on, subject.position)
    return place(subject.issued_on, subject.pk, imported=True)


def keys_of(subject, shown):
    named = {name: shown[name] for name in ("number", "plate", "vin", "owner", "engineer")}
    keys = set(terms.keys_of(**named, modifications=modifications(subject.record)))
    return sorted(keys | {(terms.OWNER, word) for name in new_owners(subject) for word in terms.words(name)})


def new_owners(subject):
    """Who the vehicle went to since, as noted; oldest first."""
    return [event.record["new_owner"] for event in subject.events.all() if event.kind == TRANSFERRED]


@transaction.atomic
def add(subject):
    """Enter a certificate, sealed here or imported, into the register that is searched."""
    shown = facts(subject)
    about = {"certificate" if hasattr(subject, "check_code") else "imported": subject}
    line = RegisterLine.objects.create(place=place_of(subject), state=state_of(subject), **about, **shown)
    RegisterKey.objects.bulk_create(RegisterKey(line=line, kind=kind, key=key) for kind, key in keys_of(subject, shown))
    return line


def state_of(subject):
    """Valid until an event says otherwise. Withdrawn outweighs superseded."""
    kinds = {event.kind for event in subject.events.all()}
    return next((kind for kind in (WITHDRAWN, SUPERSEDED) if kind in kinds), VALID)


def refresh_state(subject):
    RegisterLine.objects.filter(place=place_of(subject)).update(state=state_of(subject))


def refresh_words(subject):
    """Find it by what became of it as well."""
    line = RegisterLine.objects.get(place=place_of(subject))
    there = set(line.keys.values_list("kind", "key"))
    new = [pair for pair in keys_of(subject, facts(subject)) if pair not in there]
    RegisterKey.objects.bulk_create(RegisterKey(line=line, kind=kind, key=key) for kind, key in new)
