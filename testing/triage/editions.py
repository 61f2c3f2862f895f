"""Editions of the rules: read from fixtures once, then kept in the database as they were."""

from testing.triage.canonical import same
from vehicles import reference
from vehicles.calculations.rulesets import RuleSet

NATIONAL = "NATIONAL"


class EditionChanged(Exception):
    """A fixture was edited in place. An edition that decisions rest on never changes: give it a new id."""


def load_editions(**kwargs):
    """Store every edition in fixtures/rules that the database does not hold yet. Safe to run again."""
    from testing.models import RuleSetEdition

    held = {edition.key: edition for edition in RuleSetEdition.objects.all()}
    for data in reference.editions():
        if (edition := held.get(data["id"])) is None:
            RuleSetEdition.objects.create(
                key=data["id"],
                jurisdiction=data["jurisdiction"] or NATIONAL,
                title=data["title"],
                effective_from=data["effective_from"],
                effective_to=data["effective_to"],
                data=data,
            )
        elif not same(edition.data, data):
            raise EditionChanged(f"{edition.key} differs from the edition already in use; give the new text a new id.")


def in_force(jurisdiction):
    """The national edition and the jurisdiction's own, the latest of each that is not ended."""
    from testing.models import RuleSetEdition

    def latest(name):
        editions = RuleSetEdition.objects.filter(jurisdiction=name, effective_to=None)
        return editions.order_by("effective_from", "pk").last()

    return latest(NATIONAL), latest(jurisdiction)


def rule_set_for(jurisdiction):
    """The rules that decide for a vehicle registered there: the national code with what differs."""
    national, own = in_force(jurisdiction)
    return RuleSet.from_data(national.data, own.data if own else None)
