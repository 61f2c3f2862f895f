"""Working on a coming edition: copied, edited entry by entry, published. Every edit leaves its trail."""

import json
from copy import deepcopy

from django.db import IntegrityError, transaction

from jobs.refused import Refused
from testing.models import DraftEdition, RuleEdit, RuleSetEdition
from testing.triage import editions
from testing.triage.editions import NATIONAL, in_force, today_in
from vehicles.calculations.case import JURISDICTIONS
from vehicles.calculations.errors import RuleDataError
from vehicles.calculations.json_text import NotUsable, read_object
from vehicles.calculations.read_rules import read_rules

HEAD = ("title", "source", "tag", "note")


def rule_sets(data, at=None):
    """The rules as they would be with this text, by jurisdiction. Raises RuleDataError.

    A national edition concerns every jurisdiction, any other one only its own.
    """
    if data.get("jurisdiction") is None:
        own = {name: in_force(name, at)[1] for name in JURISDICTIONS}
        return {name: read_rules(data, *([each.marked_data()] if each else [])) for name, each in own.items()}
    name = data["jurisdiction"]
    national, _ = in_force(name, at)
    return {name: read_rules(national.marked_data(), data)}


@transaction.atomic
def start(*, by, edition):
    """A new draft with the text of an edition. Nobody has checked it yet."""
    data = {**deepcopy(edition.data), **_unpublished(edition.jurisdiction)}
    return _new(by=by, data=data, based_on=edition, what=f"Copied from {edition.key}")


@transaction.atomic
def bring_in(*, by, content):
    """A new draft from an exported file. Raises Refused with everything that is wrong with it."""
    try:
        data = read_object(content)
    except NotUsable as error:
        raise Refused(f"The file is {error}.") from error
    _storable(data)
    jurisdiction = data.get("jurisdiction")
    if jurisdiction is not None and jurisdiction not in JURISDICTIONS:
        raise Refused(f"jurisdiction: allowed are null and {', '.join(JURISDICTIONS)}.")
    data = {**data, **_unpublished(jurisdiction or NATIONAL), "id": data.get("id")}
    _validate(data)
    base = in_force(jurisdiction or NATIONAL)
    return _new(by=by, data=data, based_on=base[0] if jurisdiction is None else base[1], what="Brought in from a file")


def _storable(data):
    """What one of the databases could not keep as it is: zero characters, half characters, NaN."""
    try:
        text = json.dumps(data, ensure_ascii=False, allow_nan=False)
        text.encode()
    except ValueError as error:
        raise Refused("The file holds a number or a character that cannot be stored.") from error
    if "\\u0000" in text:
        raise Refused("The file holds a zero character, which no text needs.")


def _new(*, by, data, based_on, what):
    draft = DraftEdition.objects.create(
        jurisdiction=data["jurisdiction"] or NATIONAL, data=data, based_on=based_on, by=by
    )
    RuleEdit.objects.create(draft=draft, what=what, by=by)
    return draft


def _unpublished(jurisdiction):
    prefix = "AU" if jurisdiction == NATIONAL else jurisdiction
    return {
        "id": f"{prefix}-{today_in(jurisdiction):%Y-%m-%d}",
        "effective_from": None,
        "effective_to": None,
        "checked_by": None,
        "checked_on": None,
    }


def _validate(data):
    try:
        return rule_sets(data)
    except RuleDataError as error:
        raise Refused(*(f"{problem}." for problem in error.problems)) from error


def _locked(draft):
    draft = DraftEdition.objects.select_for_update().get(pk=draft.pk)
    if not draft.open:
        raise Refused(f"{draft} is {draft.get_state_display()} and does not change any more.")
    return draft


@transaction.atomic
def set_number(*, draft, by, name, entry):
    """State one number, or state it differently. Raises Refused when the rules cannot be used then."""
    draft = _locked(draft)
    thresholds = {**draft.data.get("thresholds", {})}
    before = thresholds.get(name)
    if before == entry:
        return draft
    thresholds[name] = entry
    return _save(draft, by, {"thresholds": thresholds}, f"{name} set", f"thresholds.{name}", before, entry)


@transaction.atomic
def remove_number(*, draft, by, name):
    """State the number no more: the national one holds again, or none."""
    draft = _locked(draft)
    thresholds = {**draft.data.get("thresholds", {})}
    if name not in thresholds:
        raise Refused(f"{name} is not stated by this draft.")
    before = thresholds.pop(name)
    return _save(draft, by, {"thresholds": thresholds}, f"{name} taken out", f"thresholds.{name}", before, None)


@transaction.atomic
def set_head(*, draft, by, head):
    """Title, source, tag and note of the edition itself."""
    draft = _locked(draft)
    before = {name: draft.data.get(name, "") for name in HEAD}
    return draft if before == head else _save(draft, by, head, "Title and source set", "", before, head)


def _save(draft, by, changed, what, path, before, after):
    draft.data = {**draft.data, **changed}
    _validate(draft.data)
    draft.save(update_fields=["data", "changed_at"])
    RuleEdit.objects.create(draft=draft, by=by, what=what, path=path, before=before, after=after)
    return draft


@transaction.atomic
def discard(*, draft, by):
    """Put a draft aside. Its trail stays."""
    draft = _locked(draft)
    draft.state = DraftEdition.State.DISCARDED
    draft.save(update_fields=["state", "changed_at"])
    RuleEdit.objects.create(draft=draft, by=by, what="Discarded")


@transaction.atomic
def publish(*, draft, by, key, effective_from):
    """Make the draft an edition that takes effect on a day. What it supersedes ends the day before."""
    draft = _locked(draft)
    if effective_from < today_in(draft.jurisdiction):
        raise Refused("An edition takes effect today or later: decisions of the past stand under their own.")
    data = {**draft.data, "id": key, "effective_from": effective_from.isoformat()}
    _validate(data)
    try:
        with transaction.atomic():
            edition = editions.store(data)
    except IntegrityError as error:
        raise Refused(f"There is an edition {key} already; choose another name.") from error
    draft.data, draft.state = data, DraftEdition.State.PUBLISHED
    draft.save(update_fields=["data", "state", "changed_at"])
    what = f"Published as {key}, in force from {effective_from:%Y-%m-%d}"
    RuleEdit.objects.create(draft=draft, by=by, what=what, after={"id": key})
    return edition


def ends_on(edition):
    """The first day on which an edition holds no more, or None while no later one is published."""
    later = RuleSetEdition.objects.filter(jurisdiction=edition.jurisdiction).defer("data")
    starts = [each.effective_from for each in later if each.pk != edition.pk and _order(each) > _order(edition)]
    return min(starts, default=None)


_order = editions.order
