"""Two people's authority numbers must not run into one series of certificates."""

from datetime import date

import pytest
from django.urls import reverse

from jobs.models import Authority, User
from jobs.refused import Refused
from jobs.workshop import signatories
from tests.factories import UserFactory

TERM = {"jurisdiction": "VIC", "valid_from": date(2026, 1, 1), "valid_to": date(2030, 1, 1)}


def keep_account(as_, admin_user, person, number):
    """The page after the accounts' own form was sent with that number."""
    address = reverse("admin:jobs_user_change", args=[person.pk])
    said = {"username": person.username, "authority_number": number, "is_active": "on"}
    return as_(admin_user).post(address, said).content.decode()


@pytest.mark.parametrize("number", ["V 12", "V-12", "v12", "V/1-2"])
def test_a_number_that_another_account_or_authority_holds_is_refused(admin_user, as_, number):
    UserFactory(authority_number="V 12", first_name="Ada", last_name="Account")
    second = UserFactory()
    with pytest.raises(Refused, match="V 12 of Ada Account"):
        signatories.add(by=admin_user, user=second, number=number, **TERM)
    page = keep_account(as_, admin_user, second, number)
    assert "differs in a letter or a digit" in page and f'value="{number}"' in page
    second.refresh_from_db()
    assert second.authority_number == ""
    assert not Authority.objects.exists()


def test_what_is_held_in_the_list_counts_as_well_and_ones_own_number_is_free(admin_user, as_):
    first = UserFactory(authority_number="V 12")
    signatories.add(by=admin_user, user=first, number="V-12", **TERM)
    signatories.add(by=admin_user, user=first, number="V-12", **{**TERM, "jurisdiction": "NSW"})
    keep_account(as_, admin_user, first, "v 12")
    first.refresh_from_db()
    assert first.authority_number == "v 12"
    User.objects.filter(pk=first.pk).update(authority_number="")
    with pytest.raises(Refused, match="V-12 of"):
        signatories.add(by=admin_user, user=UserFactory(), number="V 12", **TERM)
    signatories.add(by=admin_user, user=UserFactory(), number="V 13", **TERM)


@pytest.mark.parametrize("number", ["---", "#"])
def test_a_number_without_letters_and_digits_is_refused(admin_user, number):
    with pytest.raises(Refused, match="no letter and no digit"):
        signatories.add(by=admin_user, user=UserFactory(), number=number, **TERM)


def test_the_pages_say_it_and_keep_what_was_typed(admin_user, as_):
    UserFactory(authority_number="V 12")
    second = UserFactory(roles=["engineer"])
    said = {
        "user": second.pk,
        "number": "V-12",
        "jurisdiction": "VIC",
        "valid_from": "2026-01-01",
        "valid_to": "2030-01-01",
    }
    page = as_(admin_user).post(reverse("jobs:signatories"), said).content.decode()
    assert "certificates of both would run in one series" in page and 'value="V-12"' in page
