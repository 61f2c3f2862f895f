"""Booking in, page by page, as the front desk does it."""

import pytest

from jobs.models import AuditEntry, Draft, Job
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db

OPENING = {
    "name": "Olive Owner",
    "phone": "0491 570 156",
    "email": "",
    "make": "Banksia",
    "model": "Tourer",
    "plate": "abc-12d",
    "jurisdiction": "NSW",
}


def test_opening_a_job_stores_owner_and_vehicle_and_leads_to_the_facts(as_, desk):
    response = as_(desk).post("/jobs/book-in/", OPENING)
    job = Job.objects.get()
    assert response.url == f"/jobs/{job.number}/vehicle/"
    assert job.owner.name == "Olive Owner"
    assert job.vehicle.plate == "ABC12D"
    assert job.stage == "booking"
    assert AuditEntry.objects.get(job=job).what == "Job opened"


def test_numbers_follow_each_other(as_, desk):
    as_(desk).post("/jobs/book-in/", OPENING)
    as_(desk).post("/jobs/book-in/", OPENING)
    first, second = Job.objects.order_by("pk").values_list("number", flat=True)
    assert int(second[-4:]) == int(first[-4:]) + 1


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": ""}, "This field is required"),
        ({"phone": ""}, "Enter a phone number or an e-mail"),
        ({"email": "nobody"}, "Enter a valid email address"),
        ({"jurisdiction": "MARS"}, "MARS is not one of the available choices"),
        ({"make": "x" * 500}, "at most 40 characters"),
        ({"plate": "ABCDEFGHIJK"}, "a plate has at most 10"),
        ({"name": "nul\x00byte"}, "Null characters are not allowed"),
    ],
)
def test_a_mistake_is_named_and_nothing_typed_is_lost(as_, desk, change, words):
    response = as_(desk).post("/jobs/book-in/", OPENING | change)
    assert response.status_code == 200
    assert words in response.content.decode()
    assert "Banksia" in response.content.decode() or "make" in change
    assert not Job.objects.exists()
    again = as_(desk).get("/jobs/book-in/").content.decode()
    assert "Tourer" in again


def test_what_is_typed_is_kept_for_the_person_and_the_page(as_, desk, engineer):
    as_(desk).post("/drafts/keep/", {"path": "/jobs/book-in/", "name": "Half Typ"})
    assert "Half Typ" in as_(desk).get("/jobs/book-in/").content.decode()
    assert "Half Typ" not in as_(engineer).get("/jobs/book-in/").content.decode()


def test_a_saved_form_is_forgotten(as_, desk):
    as_(desk).post("/drafts/keep/", {"path": "/jobs/book-in/", "name": "Half Typ"})
    as_(desk).post("/jobs/book-in/", OPENING)
    assert not Draft.objects.exists()


def test_a_draft_that_is_too_large_is_refused(as_, desk):
    assert as_(desk).post("/drafts/keep/", {"path": "/x/", "name": "a" * 70_000}).status_code == 413


def test_forgetting_leads_back_but_never_to_another_site(as_, desk):
    assert as_(desk).post("/drafts/forget/", {"path": "/jobs/book-in/"}).url == "/jobs/book-in/"
    for elsewhere in ("//elsewhere.example/", "/\\elsewhere.example/", "https://elsewhere.example/"):
        assert as_(desk).post("/drafts/forget/", {"path": elsewhere}).url == "/"


def test_owner_details_are_saved(as_, desk, job):
    as_(desk).post(f"/jobs/{job.number}/owner/", {"name": "New Name", "phone": "1", "email": ""})
    job.owner.refresh_from_db()
    assert job.owner.name == "New Name"


def test_a_closed_file_takes_no_more_facts(as_, desk):
    job = JobFactory(stage="done")
    response = as_(desk).post(f"/jobs/{job.number}/modifications/add/body_lift/", {"lift_mm": "50"}, follow=True)
    assert "is closed" in response.content.decode()
    assert job.vehicle.modifications.count() == 2
