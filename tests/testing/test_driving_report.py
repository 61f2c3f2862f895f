"""The certifier's own drive, above 3,500 kg."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import Draft, Job
from testing.models import DrivingReport
from testing.testday.procedure import procedure
from testing.testday.result import result
from testing.testday.step import STEP
from tests.factories import JobFactory, UserFactory
from tests.testday_factories import sign_triage

pytestmark = pytest.mark.django_db


@pytest.fixture
def heavy(engineer):
    job = JobFactory(
        vehicle__adr_category="NB1", vehicle__gvm_kg=4200, vehicle__seats=3, vehicle__rear_axle_rating_kg=3000
    )
    sign_triage(job, engineer=engineer)
    job.stage = "testday"
    job.save()
    return job


def send(as_, user, job, **changed):
    said = {
        "driven_on": timezone.localdate().isoformat(),
        "conditions": "Sealed and gravel, empty and loaded to the GVM, dry",
        "handling": "Steers straight, no wander, brakes even.",
        "safe": "yes",
        "signed_name": user.full_name,
        "checks": [item.key for item in procedure("driving_report").checks],
        **{f"drive_{aspect.key}": "7" for aspect in procedure("driving_report").aspects},
        **changed,
    }
    return as_(user).post(reverse("testing:driving_report", args=[job.number]), said, follow=True)


def test_the_report_is_what_this_vehicle_needs(heavy):
    assert STEP.applies(heavy)
    assert result(heavy).required == ("DRIVING_REPORT",)
    assert [blocker.text for blocker in STEP.blockers(heavy)] == ["The certifier's driving report is not signed."]


def test_signed_and_passed(as_, engineer, heavy):
    assert "Driving report signed" in send(as_, engineer, heavy).content.decode()
    assert result(heavy).passed and not list(STEP.blockers(heavy))


def test_not_safe_is_no_pass(as_, engineer, heavy):
    send(as_, engineer, heavy, safe="no")
    assert not result(heavy).passed and "does not call the vehicle safe" in result(heavy).reasons[0]


def test_signed_once(as_, engineer, heavy):
    send(as_, engineer, heavy)
    assert "signed already" in send(as_, engineer, heavy, safe="no").content.decode()
    assert DrivingReport.objects.get().safe


def test_another_signatory_who_is_to_issue_drives_again(as_, engineer, heavy):
    send(as_, engineer, heavy)
    other = UserFactory(roles=["engineer"], authority_number="SIG-0099")
    assert "Driving report signed" in send(as_, other, heavy).content.decode()
    assert [report.by for report in DrivingReport.objects.all()] == [engineer, other]


def test_a_vehicle_that_was_not_safe_is_driven_again_after_it_was_changed(as_, engineer, heavy):
    send(as_, engineer, heavy, safe="no", drive_steering="3")
    send(as_, engineer, heavy, handling="Steering box renewed; steers straight now.")
    assert [report.safe for report in DrivingReport.objects.all()] == [False, True]
    assert result(heavy).passed
    text = as_(engineer).get(reverse("testing:driving_report", args=[heavy.number])).content.decode()
    assert "Steering box renewed" in text and "Steers straight, no wander" in text


def test_a_report_speaks_of_the_vehicle_as_it_was(as_, engineer, heavy):
    send(as_, engineer, heavy)
    heavy.vehicle.wheelbase_mm = 3000
    heavy.vehicle.save()
    heavy = Job.objects.get(pk=heavy.pk)
    assert "changed since: wheelbase" in result(heavy).reasons[0] and not result(heavy).passed
    sign_triage(heavy, engineer=engineer)
    send(as_, engineer, heavy)
    assert result(heavy).passed and DrivingReport.objects.count() == 2


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"drive_braking": "3"}, "say in the remark why 3, “poor”, is safe"),
        ({"drive_braking": "1"}, "1 is “not acceptable”"),
        ({"drive_braking": ""}, "rate from 10 to 1"),
        ({"signed_name": "Somebody Else"}, "“Somebody Else” is not who is signed in"),
    ],
)
def test_safe_is_carried_by_the_ratings_and_signed_by_name(as_, engineer, heavy, said, words):
    assert words in send(as_, engineer, heavy, **said).content.decode()
    assert not DrivingReport.objects.exists()


def test_a_poor_rating_is_explained(as_, engineer, heavy):
    send(as_, engineer, heavy, drive_braking="4", drive_remark="Drums; even, and better than the figures ask.")
    report = DrivingReport.objects.get()
    assert report.safe and report.signed_name == engineer.full_name


def test_the_signed_report_can_be_read(as_, engineer, heavy):
    send(as_, engineer, heavy)
    text = as_(engineer).get(reverse("testing:driving_report", args=[heavy.number])).content.decode()
    assert "no wander" in text and "<textarea" not in text


def test_not_where_the_triage_asks_for_none(as_, engineer, job):
    sign_triage(job, engineer=engineer)
    job.stage = "testday"
    job.save()
    assert "asks for no driving report" in send(as_, engineer, job).content.decode()
    assert not DrivingReport.objects.exists()


@pytest.mark.parametrize(
    "field, value, words",
    [
        ("driven_on", (timezone.localdate() + timedelta(days=1)).isoformat(), "Allowed: from"),
        ("driven_on", "0001-01-01", "Allowed: from"),
        ("driven_on", "yesterday", "Driven on"),
        ("driven_on", "", "Driven on"),
        ("conditions", "x" * 301, "Roads, load and weather"),
        ("handling", "", "How it handled"),
        ("handling", "x" * 3001, "How it handled"),
        ("handling", "a\x00", "How it handled"),
        ("safe", "perhaps", "safe to drive"),
    ],
)
def test_bad_input_is_named(as_, engineer, heavy, field, value, words):
    response = send(as_, engineer, heavy, **{field: value})
    text = response.content.decode()
    assert response.status_code == 200 and "Not saved yet" in text and words in text
    assert not DrivingReport.objects.exists()


def test_engineer_only(as_, desk, driver_user, auditor, heavy):
    for person in (desk, driver_user, auditor):
        assert send(as_, person, heavy).status_code == 403


def test_a_driving_report_comes_back_unsigned(as_, engineer, heavy):
    signed = {"safe": "yes", "signed_name": "Not Yet", "strokes": "[[[1,2],[3,4]]]"}
    path = reverse("testing:driving_report", args=[heavy.number])
    client = as_(engineer)
    # From before the form named them: the row is there, and is not shown.
    Draft.objects.create(user=engineer, path=path, values={"handling": "Steady throughout.", **signed})
    page = client.get(path).content.decode()
    assert "Steady throughout." in page
    assert signed["signed_name"] not in page and "[[[1,2]" not in page
    assert not re.search(r'<input[^>]*name="safe"[^>]*checked', page)
    assert 'data-never-kept="safe signed_name strokes"' in page
    # Refused for a field left empty, it is kept without them, and shown with them: nothing typed is lost.
    answer = client.post(path, {"handling": "Steady, loaded as well.", **signed}).content.decode()
    assert signed["signed_name"] in answer and "[[[1,2]" in answer
    assert Draft.objects.get().values == {"handling": "Steady, loaded as well."}
