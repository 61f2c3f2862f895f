"""When a vehicle comes in and whose rules apply, changed after booking in; and what nobody means is refused."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.estimates.forms import PaymentForm
from jobs.models import AuditEntry, Job
from tests.owner_side import workshop
from tests.testday_factories import sign_triage

pytestmark = pytest.mark.django_db


def at(days):
    return timezone.localtime(timezone.now() + timedelta(days=days)).strftime("%Y-%m-%dT%H:%M")


def send(as_, who, job, **sent):
    response = as_(who).post(f"/jobs/{job.number}/coming-in/", {"jurisdiction": "NSW", "expected_at": "", **sent})
    job.refresh_from_db()
    return response


def test_both_are_changed_and_the_trail_keeps_what_they_were(as_, desk, job):
    assert send(as_, desk, job, jurisdiction="VIC", expected_at=at(3)).status_code == 302
    assert (job.jurisdiction, job.vehicle.plate_state) == ("VIC", "VIC")
    assert job.expected_at > timezone.now()
    changed = AuditEntry.objects.get(what="Coming in and registration saved").details["changed"]
    assert changed["jurisdiction"] == ["NSW", "VIC"]
    assert "Comes in" in as_(desk).get(f"/jobs/{job.number}/").content.decode()


def test_a_plate_of_elsewhere_stays(as_, desk, job):
    job.vehicle.plate_state = "QLD"
    job.vehicle.save()
    send(as_, desk, job, jurisdiction="VIC")
    job.vehicle.refresh_from_db()
    assert job.vehicle.plate_state == "QLD"


def test_under_a_signed_triage_the_rules_stand_and_the_page_says_what_to_do(as_, desk, engineer, job):
    sign_triage(job, engineer=engineer)
    page = as_(desk).get(f"/jobs/{job.number}/coming-in/").content.decode()
    assert "close this job without a certificate and book the vehicle in again" in page
    assert send(as_, desk, job, jurisdiction="VIC", expected_at=at(3)).status_code == 302
    assert (job.jurisdiction, job.expected_at is None) == ("NSW", False)


@pytest.mark.parametrize(
    ("when", "words"), [("9999-12-31T23:59", "9999 is too far off"), ("2020-01-01T08:00", "That time is over")]
)
def test_a_time_nobody_means_is_refused(as_, desk, job, when, words):
    assert words in send(as_, desk, job, expected_at=when).content.decode()
    opening = {"name": "Olive", "phone": "0491 570 156", "make": "B", "model": "T", "jurisdiction": "NSW"}
    response = as_(desk).post("/jobs/book-in/", opening | {"expected_at": when})
    assert words in response.content.decode()
    assert Job.objects.count() == 1


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_nobody_waits_until_then(as_, desk, job, day):
    response = as_(desk).post(f"/jobs/{job.number}/waiting/", {"who": "owner", "what": "x", "until": day})
    assert "is not usable. Allowed:" in response.content.decode()


def test_no_payment_came_in_the_year_one():
    form = PaymentForm({"kind": "deposit", "how": "cash", "amount_aud": "20", "received_on": "0001-01-01"})
    assert form.errors["received_on"][0].startswith("01/01/0001 is not usable. Allowed:")


def test_a_telephone_number_has_eight_digits(as_, desk, job):
    sent = {"name": "Olive", "phone": "not a phone", "email": ""}
    page = as_(desk).post(f"/jobs/{job.number}/owner/", sent).content.decode()
    assert "“not a phone” has 0 digits; a telephone number has at least 8." in page
    assert as_(desk).post(f"/jobs/{job.number}/owner/", sent | {"phone": "9555 0100"}).status_code == 302


def test_booking_in_asks_whose_rules_unless_the_workshop_says(as_, desk):
    assert as_(desk).get("/jobs/book-in/").context["form"]["jurisdiction"].value() in (None, "")
    workshop(home_jurisdiction="QLD")
    assert as_(desk).get("/jobs/book-in/").context["form"]["jurisdiction"].value() == "QLD"
