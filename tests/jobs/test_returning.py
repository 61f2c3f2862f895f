"""Who and what was here before, found while typing."""

import pytest
from django.utils import timezone

from tests.factories import JobFactory, OwnerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def before(as_, desk):
    job = JobFactory(
        owner=OwnerFactory(name="Hilda Heath", phone="0491 570 110", email="hilda@example.com"),
        vehicle__plate="WOMBAT",
        vehicle__vin="6T1WXMBAT00000001",
        stage="done",
    )
    JobFactory()
    as_(desk).get("/jobs/")
    return job


def ask(as_, desk, **typed):
    return as_(desk).get("/jobs/returning/", typed)


@pytest.mark.parametrize(
    "typed",
    [
        {"name": "hil"},
        {"phone": "+61 491 570 110"},
        {"phone": "570 110"},
        {"email": "hilda@"},
        {"plate": "wom-b"},
        {"vin": "6t1wxmb"},
        {"name": "Somebody else", "plate": "WOMBAT"},
    ],
)
def test_a_returning_owner_or_vehicle_is_found(as_, desk, before, typed):
    response = ask(as_, desk, **typed)
    assert response.context["before"] == [before]
    assert f"?owner_of={before.number}" in response.content.decode()


@pytest.mark.parametrize("typed", [{}, {"name": "hi"}, {"phone": "0491"}, {"plate": "zzz"}])
def test_too_little_finds_nobody(as_, desk, before, typed):
    assert ask(as_, desk, **typed).context["before"] == []


def test_the_same_owner_with_the_same_vehicle_is_listed_once(as_, desk, before):
    again = JobFactory(owner=before.owner, vehicle__plate="WOMBAT", vehicle__vin=before.vehicle.vin)
    as_(desk).get("/jobs/")
    assert ask(as_, desk, name="hilda").context["before"] == [again]


@pytest.mark.parametrize("typed", [{"plate": "wom bat"}, {"vin": "6T1WXMBAT00000001"}])
def test_a_job_that_is_open_already_is_shown(as_, desk, before, typed):
    assert "Open already" not in ask(as_, desk, **typed).content.decode()
    before.stage, before.stage_since = "triage", timezone.now()
    before.save()
    page = ask(as_, desk, **typed).content.decode()
    assert "Open already" in page
    assert before.number in page


def test_a_vin_is_checked_as_it_is_typed(as_, desk):
    assert ask(as_, desk, vin="6T1O").context["vin_says"][0].startswith("'O' cannot stand")
    assert ask(as_, desk, vin="6T1W").context["vin_says"] == ()
    # 49 CFR 565: the check digit of 1M8GDM9AXKP042788 is X; another one is only a warning.
    assert ask(as_, desk, vin="1M8GDM9AXKP042788").context["vin_says"] == ()
    assert "check digit" in ask(as_, desk, vin="1M8GDM9A1KP042788").context["vin_says"][0]


def test_a_plate_with_strange_signs_is_named(as_, desk):
    assert "letters and digits" in ask(as_, desk, plate="a/b").content.decode()
