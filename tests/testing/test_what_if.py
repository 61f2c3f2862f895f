"""What if other parts were fitted: an answer at the desk that changes nothing."""

import pytest

from jobs.models import AuditEntry
from tests.factories import JobFactory
from vehicles.models import Modification

pytestmark = pytest.mark.django_db


def ask(as_, desk, job, **question):
    return as_(desk).get(f"/jobs/{job.number}/what-if/", question)


def test_the_form_shows_what_is_fitted(as_, desk, job):
    page = ask(as_, desk, job).content.decode()
    assert 'value="285/70R17"' in page
    assert 'value="50"' in page


def test_smaller_springs_need_no_test(as_, desk, job):
    # 45 + 27.25 = 72.25 mm is not more than 75 mm (NSW practice).
    page = ask(as_, desk, job, front_mm="45", rear_mm="45 mm").content.decode()
    assert "<strong>Unlikely.</strong>" in page
    assert "Overall rise 72.3 mm is not more than 75 mm: suspension 45.0 mm + tyres 27.3 mm." in page
    assert "Lane-change test (LT2)" in page


def test_it_writes_nothing(as_, desk, job):
    before = list(Modification.objects.values())
    ask(as_, desk, job, front_mm="45", rear_mm="45", to="265/65R17", lift_mm="25", to_kg="3600", seats="2")
    assert list(Modification.objects.values()) == before
    assert not AuditEntry.objects.exists()
    assert as_(desk).post(f"/jobs/{job.number}/what-if/", {"front_mm": "45"}).status_code == 200
    assert list(Modification.objects.values()) == before


def test_an_empty_field_is_without_it(as_, desk, job):
    page = ask(as_, desk, job, front_mm="", rear_mm="").content.decode()
    assert "tyres 27.3 mm." in page
    assert "suspension" not in page.split("Overall rise")[1].split("<")[0]


def test_a_heavier_gvm_leads_to_the_driving_report(as_, desk, job):
    page = ask(as_, desk, job, to_kg="3.6 t").content.decode()
    assert "<strong>Unlikely.</strong> No: it does not apply to this vehicle." in page
    assert "Driving report on handling" in page


def test_several_lifts_are_shown_as_one(as_, desk):
    lift = ("suspension_lift", {"front_mm": 20.0, "rear_mm": 25.0})
    page = ask(as_, desk, JobFactory(modifications=[lift, lift])).content.decode()
    assert 'value="40"' in page
    assert 'value="50"' in page


@pytest.mark.parametrize(
    "question",
    [
        {"front_mm": "high"}, {"front_mm": "nan"}, {"front_mm": "9999"}, {"to": "round"}, {"to": "33x"},
        {"seats": "2.5"}, {"to_kg": "1e400"}, {"front_mm": "x" * 100},
    ],
)  # fmt: skip
def test_bad_input_is_told_at_the_field(as_, desk, job, question):
    response = ask(as_, desk, job, **question)
    assert response.status_code == 200
    assert "Please mend" in response.content.decode()


def test_contradicting_facts_are_told(as_, desk):
    job = JobFactory(vehicle__front_axle_kg=900.0)
    assert "That cannot be worked out" in ask(as_, desk, job, front_mm="45").content.decode()
