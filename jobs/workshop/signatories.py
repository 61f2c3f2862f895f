"""Who may sign for which jurisdiction, under which number, on which day."""

import re

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format

from jobs.models import Authority, User
from jobs.refused import Refused


def authority_of(user, *, jurisdiction, on=None):
    """The number under which the person signs there on that day, or empty when they may not.

    People without any authority by jurisdiction keep the one number of their account.
    """
    on = on or timezone.localdate()
    held = user.authorities.filter(jurisdiction=jurisdiction, valid_from__lte=on, valid_to__gte=on)
    if standing := held.order_by("-valid_from").first():
        return standing.number
    return "" if user.authorities.exists() else user.authority_number


def who_may_sign():
    """People whose role lets them sign: the ones an authority can be entered for."""
    return User.objects.filter(is_active=True, groups__permissions__codename="sign_triage").distinct()


def _compact(number):
    return re.sub(r"[^A-Z0-9]", "", number.upper())


def clash_of(number, *, person):
    """Whose number it is already, in a sentence; None where it is free.

    Certificates are numbered by letters and digits of it: V 12 and V-12 of two people would share one series.
    """
    if not (same := _compact(number)):
        return f"“{number}” has no letter and no digit; certificates are numbered by them."
    of_accounts = User.objects.exclude(pk=person.pk).exclude(authority_number="")
    held = [(one.authority_number, one) for one in of_accounts]
    listed = Authority.objects.exclude(user_id=person.pk).select_related("user")
    for theirs, holder in [*held, *((row.number, row.user) for row in listed)]:
        if _compact(theirs) == same:
            return (
                f"“{number}” cannot be told from {theirs} of {holder.full_name}: certificates of both would run in one "
                "series. Allowed is a number that differs in a letter or a digit."
            )
    return None


@transaction.atomic
def add(*, by, user, jurisdiction, number, valid_from, valid_to):
    """Keep an authority. Two for the same person, place and day contradict each other."""
    list(User.objects.select_for_update().filter(pk=user.pk))
    if taken := clash_of(number, person=user):
        raise Refused(taken)
    clash = Authority.objects.filter(
        user=user, jurisdiction=jurisdiction, valid_from__lte=valid_to, valid_to__gte=valid_from
    ).first()
    if clash:
        raise Refused(
            f"{user.full_name} has number {clash.number} for {jurisdiction} from {date_format(clash.valid_from)} until "
            f"{date_format(clash.valid_to)} already. End that one first, or choose other days."
        )
    return Authority.objects.create(
        user=user, jurisdiction=jurisdiction, number=number, valid_from=valid_from, valid_to=valid_to, added_by=by
    )


@transaction.atomic
def end(authority, *, on=None):
    """The authority holds until that day and no longer. What was signed under it stays signed."""
    on = on or timezone.localdate()
    authority = Authority.objects.select_for_update().get(pk=authority.pk)
    if authority.valid_to > on:
        authority.valid_to = max(on, authority.valid_from)
        authority.save(update_fields=["valid_to"])
    return authority
