"""Crew: who drives, with which evidence, from which account."""

import pytest
from django.urls import reverse

from testing.models import CrewMember
from tests.factories import CrewMemberFactory, UserFactory
from tests.scheduling_factories import in_days

pytestmark = pytest.mark.django_db
ADD = "/planner/crew/add/"


def form(**changed):
    values = {
        "name": "Sam Steady", "user": "", "drives": "on", "skill_evidence": "Ten years of road testing",
        "evidence_valid_to": in_days(300).isoformat(), "mass_kg": "81.5",
    }  # fmt: skip
    return {**values, **changed}


def test_a_driver_is_added_with_an_account(as_, engineer, driver_user):
    assert as_(engineer).post(ADD, form(user=driver_user.pk)).status_code == 302
    member = CrewMember.objects.get()
    assert (member.user, member.drives, member.mass_kg) == (driver_user, True, 81.5)
    assert member.evidence_valid_to == in_days(300)


def test_masses_take_a_unit(as_, engineer):
    as_(engineer).post(ADD, form(mass_kg="180 lb"))
    assert CrewMember.objects.get().mass_kg == pytest.approx(81.6466, abs=0.0001)


def test_an_observer_needs_neither_evidence_nor_mass(as_, engineer):
    values = form(skill_evidence="", evidence_valid_to="", mass_kg="")
    del values["drives"]
    assert as_(engineer).post(ADD, values).status_code == 302
    member = CrewMember.objects.get()
    assert (member.drives, member.mass_kg, member.evidence_valid_to) == (False, None, None)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("name", "x" * 81),
        ("user", "999999"),
        ("user", "9" * 30),
        ("user", "nobody"),
        ("skill_evidence", ""),
        ("skill_evidence", "x" * 201),
        ("evidence_valid_to", ""),
        ("evidence_valid_to", "2026-02-30"),
        ("mass_kg", "34"),
        ("mass_kg", "251"),
        ("mass_kg", "nan"),
        ("mass_kg", "heavy"),
    ],
)
def test_bad_input_is_answered_at_the_field(as_, engineer, field, value):
    response = as_(engineer).post(ADD, form(**{field: value}))
    assert response.status_code == 200
    assert response.context["form"].errors.keys() == {field}
    assert not CrewMember.objects.exists()


def test_only_accounts_of_drivers_are_offered(as_, engineer, driver_user, desk):
    assert as_(engineer).post(ADD, form(user=desk.pk)).context["form"].errors.keys() == {"user"}
    offered = as_(engineer).get(ADD).context["form"].fields["user"].queryset
    assert list(offered) == [driver_user]


def test_an_account_that_stopped_driving_stays_with_its_member(as_, engineer):
    member = CrewMemberFactory(user=UserFactory(username="was-driver"))
    url = reverse("testing:crew_member", args=[member.pk])
    assert as_(engineer).post(url, form(user=member.user_id)).status_code == 302


def test_one_account_for_one_member(as_, engineer, driver):
    errors = as_(engineer).post(ADD, form(user=driver.user_id)).context["form"].errors
    assert errors["user"] == ["This account belongs to another member of the crew already."]


def test_a_refused_change_keeps_what_is_stored(as_, engineer, driver):
    url = reverse("testing:crew_member", args=[driver.pk])
    page = as_(engineer).post(url, form(name="", mass_kg="3")).content.decode()
    assert driver.name in page
    driver.refresh_from_db()
    assert driver.mass_kg == 80.0


def test_only_who_plans_changes_the_crew(as_, desk, driver_user, driver):
    for user in (desk, driver_user):
        assert as_(user).post(ADD, form()).status_code == 403
        assert as_(user).get(reverse("testing:crew_member", args=[driver.pk])).status_code == 403
