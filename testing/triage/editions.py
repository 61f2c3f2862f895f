"""Editions of the rules: read from fixtures once, then kept in the database as they were."""

import zoneinfo
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

from django.utils import timezone

from testing.triage.canonical import same
from vehicles import reference
from vehicles.calculations.read_rules import read_rules
from vehicles.calculations.rulesets import RuleSet

NATIONAL = "NATIONAL"
# A new edition takes effect at midnight where it holds. Source: IANA time zone database.
ZONES = {
    "NSW": "Australia/Sydney",
    "VIC": "Australia/Melbourne",
    "QLD": "Australia/Brisbane",
    "SA": "Australia/Adelaide",
    "WA": "Australia/Perth",
    "TAS": "Australia/Hobart",
    "ACT": "Australia/Sydney",
    "NT": "Australia/Darwin",
}


class EditionChanged(Exception):
    """A fixture was edited in place. An edition that decisions rest on never changes: give it a new id."""


def load_editions(**kwargs):
    """Store every edition in fixtures/rules that the database does not hold yet. Safe to run again."""
    from testing.models import RuleSetEdition

    held = {edition.key: edition for edition in RuleSetEdition.objects.all()}
    for data in reference.editions():
        if (edition := held.get(data["id"])) is None:
            store(data)
        elif not same(edition.data, data):
            raise EditionChanged(f"{edition.key} differs from the edition already in use; give the new text a new id.")


def store(data):
    """Keep the text of an edition for good."""
    from testing.models import RuleSetEdition

    day = data["effective_from"]
    return RuleSetEdition.objects.create(
        key=data["id"],
        jurisdiction=data["jurisdiction"] or NATIONAL,
        title=data["title"],
        effective_from=day and date.fromisoformat(day),
        data=data,
    )


@dataclass(frozen=True)
class Rules:
    """The rules of one place at one time, with the editions that they come from."""

    # Editions are never changed, so what they are and who checked them says what the rules are.
    identity: tuple
    editions: tuple = field(compare=False)
    rule_set: RuleSet = field(compare=False)


def today_in(jurisdiction, at=None):
    """The date in the jurisdiction at a moment, now by default."""
    zone = ZONES.get(jurisdiction)
    return timezone.localdate(at, zoneinfo.ZoneInfo(zone) if zone else None)


def in_force(jurisdiction, at=None):
    """The national edition and the jurisdiction's own, the latest of each that has taken effect."""
    from testing.models import RuleSetEdition

    day = today_in(jurisdiction, at)
    held = RuleSetEdition.objects.filter(jurisdiction__in=(NATIONAL, jurisdiction)).defer("data")
    begun = [edition for edition in held if edition.effective_from is None or edition.effective_from <= day]

    def latest(name):
        own = (edition for edition in begun if edition.jurisdiction == name)
        return max(own, key=order, default=None)

    return latest(NATIONAL), None if jurisdiction == NATIONAL else latest(jurisdiction)


def order(edition):
    """Editions of a jurisdiction in the order in which they take effect."""
    return edition.effective_from or date.min, edition.pk


def rules_for(jurisdiction, at=None):
    """The rules that decide for a vehicle registered there: the national code with what differs."""
    from testing.models import EditionCheck

    editions = tuple(edition for edition in in_force(jurisdiction, at) if edition)
    marks = EditionCheck.objects.filter(edition__in=editions).order_by("pk").values_list("edition_id", "pk")
    latest = dict(marks)
    # The moment of storing tells two rows apart that got the same number after a rolled-back test.
    identity = tuple((edition.pk, edition.key, edition.loaded_at, latest.get(edition.pk)) for edition in editions)
    return _read(Rules(identity, editions, None))


def rule_set_for(jurisdiction, at=None):
    """As `rules_for`, the rules alone."""
    return rules_for(jurisdiction, at).rule_set


@lru_cache(maxsize=64)
def _read(rules):
    """Parsing an edition takes longer than deciding a job by it."""
    return Rules(rules.identity, rules.editions, read_rules(*(each.marked_data() for each in rules.editions)))
