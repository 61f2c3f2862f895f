"""certificates:preview, the review before signing."""

import pytest
from django.urls import reverse

from certificates import after_issue
from tests.certificates_factories import ready_job, sign_triage, untested_job
from tests.factories import JobFactory


def url(job):
    return reverse("certificates:preview", args=[job.number])


def test_a_complete_file_leads_on_to_signing(engineer, as_):
    job = ready_job(engineer)
    page = as_(engineer).get(url(job)).content.decode()
    assert "Nothing stands in the way of the signature." in page
    assert reverse("certificates:issue", args=[job.number]) in page
    assert reverse("certificates:draft", args=[job.number]) in page
    assert "Lane-change test passed." in page


def test_what_is_missing_is_listed_with_the_way_there(engineer, as_):
    job = JobFactory()
    page = as_(engineer).get(url(job)).content.decode()
    assert "Cannot be signed yet" in page
    assert "The triage is not signed" in page
    assert reverse("certificates:issue", args=[job.number]) not in page


def test_facts_that_contradict_each_other_are_named(engineer, as_):
    job = ready_job(engineer)
    job.vehicle.rear_axle_kg = 300.0
    job.vehicle.save()
    response = as_(engineer).get(url(job))
    assert response.status_code == 200
    assert "contradict each other" in response.content.decode()


@pytest.mark.parametrize("who", ["desk", "driver_user", "owner_user", "auditor", "admin_user"])
def test_only_the_engineer_reviews(request, job, as_, who):
    assert as_(request.getfixturevalue(who)).get(url(job)).status_code == 403


def test_a_job_that_does_not_exist(engineer, as_):
    assert as_(engineer).get("/jobs/J1999-0001/certificate/preview/").status_code == 404


def test_a_certificate_of_the_same_vehicle_is_told_before_signing_and_stops_nothing(engineer, as_, plain):
    job = untested_job(engineer)
    job.vehicle.vin = plain.vin
    job.vehicle.save()
    sign_triage(job, engineer)
    for name in ("preview", "issue"):
        page = as_(engineer).get(reverse(f"certificates:{name}", args=[job.number])).content.decode()
        assert "Certified already" in page and plain.get_absolute_url() in page, name
        assert "Nothing stands in the way of the signature." in page
    after_issue.withdraw(subject=plain, by=engineer, reason="Bad welds")
    assert "Certified already" not in as_(engineer).get(url(job)).content.decode()


def test_another_vehicle_is_no_reason_for_a_word(engineer, as_, plain):
    assert "Certified already" not in as_(engineer).get(url(untested_job(engineer))).content.decode()
