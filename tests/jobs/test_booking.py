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
    assert response.url == f"/jobs/{job.number}/modifications/"
    assert job.owner.name == "Olive Owner"
    assert job.vehicle.plate == "ABC12D"
    assert job.stage == "booking"
    assert AuditEntry.objects.get(job=job).what == "Job opened"


def test_a_job_has_its_line_in_the_book_and_its_owners_link_from_the_first_moment(as_, desk, client):
    as_(desk).post("/jobs/book-in/", OPENING)
    job = Job.objects.get()
    assert job.line.who == "desk"
    assert job.number in as_(desk).get("/jobs/").content.decode()
    assert job.owner_links.standing().get().token == job.owner_token
    client.logout()
    assert client.get(f"/owner/{job.owner_token}/").status_code == 200


def test_numbers_follow_each_other(as_, desk):
    as_(desk).post("/jobs/book-in/", OPENING)
    as_(desk).post("/jobs/book-in/", OPENING | {"plate": "other"})
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
        ({"vin": "6T1BANKS1A000081"}, "16 characters; allowed: 17"),
        ({"vin": "6T1BANKSOA0000815"}, "cannot stand in a VIN"),
        ({"vin": "x" * 500}, "at most 30 characters"),
        ({"expected_at": "2020-01-01T08:00"}, "That time is over"),
        ({"expected_at": "banana"}, "Enter a valid date/time"),
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


def test_an_open_job_for_the_same_plate_is_shown_and_has_to_be_meant(as_, desk):
    first = JobFactory(vehicle__plate="ABC12D")
    response = as_(desk).post("/jobs/book-in/", OPENING)
    assert f'href="/jobs/{first.number}/"' in response.content.decode()
    assert Job.objects.count() == 1
    as_(desk).post("/jobs/book-in/", OPENING | {"again": "on"})
    assert Job.objects.count() == 2


def test_a_closed_job_for_the_same_plate_is_no_hindrance(as_, desk):
    JobFactory(vehicle__plate="ABC12D", stage="done")
    assert as_(desk).post("/jobs/book-in/", OPENING).status_code == 302


def test_a_returning_owner_stays_the_same_owner_with_the_telephone_of_today(as_, desk):
    before = JobFactory(owner__name="Olive Owner", owner__phone="0491 570 006", stage="done")
    as_(desk).post("/jobs/book-in/", OPENING | {"owner_of": before.number})
    job = Job.objects.exclude(pk=before.pk).get()
    assert job.owner == before.owner
    assert job.owner.phone == "0491 570 156"


def test_another_name_is_another_owner(as_, desk):
    before = JobFactory(owner__name="Hilda Heath")
    as_(desk).post("/jobs/book-in/", OPENING | {"owner_of": before.number})
    before.owner.refresh_from_db()
    assert before.owner.name == "Hilda Heath"
    assert Job.objects.exclude(pk=before.pk).get().owner != before.owner


def test_a_returning_vehicle_is_presented_anew_without_what_was_weighed_and_modified(as_, desk):
    before = JobFactory(
        vehicle__plate="ABC12D", vehicle__row_1_x_mm=1310, vehicle__corner_front_left_kg=520, stage="done"
    )
    same = {"plate": "abc12d", "vin": before.vehicle.vin, "vehicle_of": before.number}
    as_(desk).post("/jobs/book-in/", OPENING | same)
    vehicle = Job.objects.exclude(pk=before.pk).get().vehicle
    assert vehicle.pk != before.vehicle.pk
    assert (vehicle.gvm_kg, vehicle.tyre, vehicle.wheelbase_mm) == (2950, "265/65R17", 2790)
    assert (vehicle.row_1_x_mm, vehicle.corner_front_left_kg) == (1310, None)
    assert (vehicle.empty_mass_kg, vehicle.front_axle_kg, vehicle.market_value_aud) == (None, None, None)
    assert not vehicle.modifications.exists()


def test_nothing_is_copied_to_a_vehicle_that_was_typed_over(as_, desk):
    before = JobFactory(vehicle__plate="OTHER", stage="done")
    as_(desk).post("/jobs/book-in/", OPENING | {"vehicle_of": before.number})
    assert Job.objects.exclude(pk=before.pk).get().vehicle.gvm_kg is None


@pytest.mark.parametrize("number", ["J1999-0001", "x" * 400, "", "<script>"])
def test_an_address_that_names_no_earlier_job_opens_an_empty_form(as_, desk, number):
    response = as_(desk).get("/jobs/book-in/", {"owner_of": number, "vehicle_of": number})
    assert response.status_code == 200
    assert response.context["chosen"] == {}


def test_choosing_fills_the_form_and_keeps_what_else_was_typed(as_, desk):
    before = JobFactory(owner__name="Hilda Heath")
    as_(desk).post("/drafts/keep/", {"path": "/jobs/book-in/", "name": "Hil", "plate": "NEW77"})
    form = as_(desk).get("/jobs/book-in/", {"owner_of": before.number}).context["form"]
    assert form["name"].value() == "Hilda Heath"
    assert form["plate"].value() == "NEW77"


def test_owner_details_are_saved_with_what_they_were(as_, desk, job):
    was = job.owner.name
    as_(desk).post(f"/jobs/{job.number}/owner/", {"name": "New Name", "phone": job.owner.phone, "email": ""})
    job.owner.refresh_from_db()
    assert job.owner.name == "New Name"
    changed = job.audit_entries.get().details["changed"]
    assert changed["name"] == [was, "New Name"]
    # Erased at its time: the trail, which never is, holds none of it.
    assert changed["email"] == ["not kept here"] * 2


def test_owner_details_of_a_closed_file_stay(as_, desk):
    job = JobFactory(stage="done", owner__name="Hilda Heath")
    response = as_(desk).post(
        f"/jobs/{job.number}/owner/", {"name": "New", "phone": "0491 570 110", "email": ""}, follow=True
    )
    job.owner.refresh_from_db()
    assert "is closed" in response.content.decode()
    assert job.owner.name == "Hilda Heath"


def test_a_closed_file_takes_no_more_facts(as_, desk):
    job = JobFactory(stage="done")
    response = as_(desk).post(f"/jobs/{job.number}/modifications/add/body_lift/", {"lift_mm": "50"}, follow=True)
    assert "is closed" in response.content.decode()
    assert job.vehicle.modifications.count() == 2
