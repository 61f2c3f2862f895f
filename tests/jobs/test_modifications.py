"""Adding and removing modifications."""

import pytest

from tests.factories import JobFactory
from vehicles.calculations.modifications import KINDS

pytestmark = pytest.mark.django_db

SAMPLE = {"front_mm": "40", "rear_mm": "40", "lift_mm": "2 in", "change_mm": "150", "seats": "7", "to_kg": "3300",
          "mass_kg": "85", "height_mm": "1900", "x_mm": "-600", "to": "285/70R17", "to_category": "NA"}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_added_with_its_measurements(as_, desk, kind):
    job = JobFactory(modifications=[])
    url = f"/jobs/{job.number}/modifications/add/{kind}/"
    assert as_(desk).get(url).status_code == 200
    assert as_(desk).post(url, SAMPLE | {"note": "as on the receipt"}).status_code == 302
    stored = job.vehicle.modifications.get()
    wanted = {row.name for row in KINDS[kind].numbers} | set(KINDS[kind].text)
    assert set(stored.values) == wanted
    assert stored.missing() == []


def test_two_inches_are_50_8_mm(as_, desk):
    job = JobFactory(modifications=[])
    as_(desk).post(f"/jobs/{job.number}/modifications/add/body_lift/", {"lift_mm": "2 in"})
    assert job.vehicle.modifications.get().values == {"lift_mm": pytest.approx(50.8)}


def test_a_measurement_not_taken_is_named(as_, desk):
    job = JobFactory(modifications=[])
    as_(desk).post(f"/jobs/{job.number}/modifications/add/suspension_lift/", {"front_mm": "40"})
    assert job.vehicle.modifications.get().missing() == ["rear"]
    assert "not measured: rear" in as_(desk).get(f"/jobs/{job.number}/modifications/").content.decode()


def test_an_unknown_kind_leads_back_to_the_list(as_, desk, job):
    response = as_(desk).get(f"/jobs/{job.number}/modifications/add/rocket/", follow=True)
    assert "is not a kind of modification" in response.content.decode()


@pytest.mark.parametrize(("value", "words"), [("900", "0 to 400 mm"), ("inf", "0 to 400 mm"), ("x", "0 to 400 mm")])
def test_a_value_that_cannot_be_is_refused(as_, desk, job, value, words):
    response = as_(desk).post(f"/jobs/{job.number}/modifications/add/suspension_lift/", {"front_mm": value})
    assert words in response.content.decode()


def test_removing_keeps_the_old_values_in_the_trail(as_, desk, job):
    modification = job.vehicle.modifications.first()
    as_(desk).post(f"/jobs/{job.number}/modifications/{modification.pk}/remove/")
    assert job.vehicle.modifications.count() == 1
    assert job.audit_entries.get().details["values"] == {"front_mm": 50.0, "rear_mm": 50.0}


def test_a_modification_of_another_job_is_not_found(as_, desk, job):
    other = JobFactory()
    pk = other.vehicle.modifications.first().pk
    assert as_(desk).post(f"/jobs/{job.number}/modifications/{pk}/remove/").status_code == 404
