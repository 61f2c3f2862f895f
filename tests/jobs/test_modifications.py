"""Adding and removing modifications."""

import pytest

from tests.factories import JobFactory
from vehicles.calculations.modifications import KINDS

pytestmark = pytest.mark.django_db

SAMPLE = {"front_mm": "40", "rear_mm": "40", "lift_mm": "2 in", "change_mm": "150", "seats": "7", "to_kg": "3300",
          "mass_kg": "85", "height_mm": "1900", "x_mm": "-600", "to": "285/70R17", "to_category": "NA",
          "from_diameter_mm": "771", "to_diameter_mm": "826"}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_added_with_its_measurements(as_, desk, kind):
    job = JobFactory(modifications=[])
    url = f"/jobs/{job.number}/modifications/add/{kind}/"
    assert as_(desk).get(url).status_code == 200
    assert as_(desk).post(url, SAMPLE | {"note": "as on the receipt"}).status_code == 302
    stored = job.vehicle.modifications.get()
    assert tuple(stored.in_order()) == KINDS[kind].names
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


def test_an_abbreviation_keeps_its_capitals_and_a_thousand_its_comma(as_, desk):
    job = JobFactory(modifications=[("gvm_upgrade", {"to_kg": 3900.0})])
    assert "GVM afterwards 3,900 kg" in as_(desk).get(f"/jobs/{job.number}/modifications/").content.decode()


def test_an_unknown_kind_leads_back_to_the_list(as_, desk, job):
    response = as_(desk).get(f"/jobs/{job.number}/modifications/add/rocket/", follow=True)
    assert "is not a kind of modification" in response.content.decode()


@pytest.mark.parametrize(("value", "words"), [("900", "0 to 400 mm"), ("inf", "0 to 400 mm"), ("x", "0 to 400 mm")])
def test_a_value_that_cannot_be_is_refused(as_, desk, job, value, words):
    response = as_(desk).post(f"/jobs/{job.number}/modifications/add/suspension_lift/", {"front_mm": value})
    assert words in response.content.decode()


def test_tyres_are_measured_only_where_it_matters(as_, desk):
    job = JobFactory(modifications=[])
    url = f"/jobs/{job.number}/modifications/add/tyre_change/"
    as_(desk).post(url, {"to": "285/70R17"})
    assert job.vehicle.modifications.get().missing() == []


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"to_diameter_mm": "415"}, "to_diameter_mm", "415.0 is outside 764 to 897 mm for 285/70R17"),
        ({"from_diameter_mm": "900"}, "from_diameter_mm", "for 265/65R17: a diameter, not a radius"),
        ({"to_diameter_mm": "82.7"}, "to_diameter_mm", "400 to 1,200 mm"),
    ],
)
def test_a_diameter_that_the_size_cannot_have_is_refused(as_, desk, job, typed, field, words):
    url = f"/jobs/{job.number}/modifications/add/tyre_change/"
    form = as_(desk).post(url, {"to": "285/70R17", **typed}).context["form"]
    assert list(form.errors) == [field] and words in form.errors[field][0]


def test_a_measurement_taken_later_is_entered_where_it_was_missing(as_, desk, job):
    modification = job.vehicle.modifications.get(kind="tyre_change")
    url = f"/jobs/{job.number}/modifications/{modification.pk}/"
    form = as_(desk).get(url).context["form"]
    assert form.initial["to"] == modification.values["to"]
    before = dict(modification.values)
    as_(desk).post(url, {"to": "285/70R17", "from_diameter_mm": "771 mm", "to_diameter_mm": "32.5 in", "note": "new"})
    modification.refresh_from_db()
    assert modification.values["to_diameter_mm"] == pytest.approx(825.5) and modification.note == "new"
    details = job.audit_entries.get().details
    assert details["was"]["values"] == before and details["values"]["from_diameter_mm"] == 771


def test_what_is_changed_for_the_worse_stays_as_it_was(as_, desk, job):
    modification = job.vehicle.modifications.get(kind="tyre_change")
    url = f"/jobs/{job.number}/modifications/{modification.pk}/"
    response = as_(desk).post(url, {"to": "large"})
    assert response.status_code == 200 and "large" in response.content.decode()
    modification.refresh_from_db()
    assert modification.values["to"] != "large"


def test_on_a_closed_file_nothing_is_changed(as_, desk):
    job = JobFactory(stage="done")
    modification = job.vehicle.modifications.get(kind="tyre_change")
    url = f"/jobs/{job.number}/modifications/{modification.pk}/"
    assert "is closed" in as_(desk).post(url, {"to": "265/70R17"}, follow=True).content.decode()
    modification.refresh_from_db()
    assert modification.values["to"] != "265/70R17"


def test_removing_keeps_the_old_values_in_the_trail(as_, desk, job):
    modification = job.vehicle.modifications.first()
    as_(desk).post(f"/jobs/{job.number}/modifications/{modification.pk}/remove/")
    assert job.vehicle.modifications.count() == 1
    assert job.audit_entries.get().details["values"] == {"front_mm": 50.0, "rear_mm": 50.0}


def test_a_modification_of_another_job_is_not_found(as_, desk, job):
    other = JobFactory()
    pk = other.vehicle.modifications.first().pk
    assert as_(desk).post(f"/jobs/{job.number}/modifications/{pk}/remove/").status_code == 404
