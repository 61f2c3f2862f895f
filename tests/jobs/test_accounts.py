"""Accounts: whoever keeps them makes others, and nobody gets above themselves."""

import pytest
from django.contrib.auth.models import Group

from jobs.models import User
from tests.factories import PASSWORD, UserFactory

pytestmark = pytest.mark.django_db
NEW = "cones-and-chalk-88"


def with_roles(*names):
    groups = Group.objects.filter(name__in=names).values_list("pk", flat=True)
    return {"username": "second", "is_active": "on", "groups": list(groups)}


def change(client, account, *roles):
    return client.post(f"/accounts/jobs/user/{account.pk}/change/", with_roles(*roles))


def test_a_second_admin_can_be_made_and_unmade(as_, admin_user, client):
    second = UserFactory(username="second", roles=["desk"])
    assert change(as_(admin_user), second, "admin").status_code == 302
    assert as_(User.objects.get(username="second")).get("/accounts/").status_code == 200
    assert change(as_(admin_user), second, "desk").status_code == 302
    assert as_(User.objects.get(username="second")).get("/accounts/").status_code == 302


def test_an_admin_reaches_no_superuser(as_, admin_user):
    above = UserFactory(username="above", is_superuser=True, is_staff=True)
    client = as_(admin_user)
    for page in ("password/", "change/", "delete/"):
        sent = {"password1": NEW, "password2": NEW, "usable_password": "true", "post": "yes", **with_roles("admin")}
        assert client.post(f"/accounts/jobs/user/{above.pk}/{page}", sent).status_code == 403, page
    client.post("/accounts/jobs/user/", {"action": "delete_selected", "_selected_action": [above.pk], "post": "yes"})
    kept = User.objects.get(pk=above.pk)
    assert kept.check_password(PASSWORD)
    assert kept.username == "above"


def test_a_superuser_reaches_all_and_stays_one(as_):
    above = UserFactory(username="above", is_superuser=True, is_staff=True)
    other = UserFactory(username="second", is_superuser=True, is_staff=True)
    assert change(as_(above), other).status_code == 302
    assert User.objects.get(pk=other.pk).is_staff


@pytest.mark.parametrize("role", ["desk", "engineer", "driver", "owner", "auditor"])
def test_everybody_changes_their_own_password(as_, client, role):
    user = UserFactory(roles=[role])
    page = as_(user).get("/my-password/")
    assert "Your password" in page.content.decode()
    sent = {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW}
    assert client.post("/my-password/", sent).url == "/"
    assert client.get("/my-password/").status_code == 200  # still signed in here
    assert User.objects.get(pk=user.pk).check_password(NEW)


def test_without_the_old_password_nothing_changes(as_, desk):
    page = as_(desk).post("/my-password/", {"old_password": "guess", "new_password1": NEW, "new_password2": NEW})
    assert "Not changed yet" in page.content.decode()
    assert NEW not in page.content.decode()
    assert User.objects.get(pk=desk.pk).check_password(PASSWORD)


def test_the_head_of_every_page_leads_there(as_, desk):
    assert 'href="/my-password/"' in as_(desk).get("/jobs/").content.decode()
