"""Everything that stops a signature is named, and nothing else does."""

import pytest
from django.core.files.storage import default_storage

from certificates.gaps import missing
from tests.certificates_factories import (
    at_stage,
    day_of_testing,
    document,
    heavy_job,
    ready_job,
    run,
    sign_triage,
    state,
    untested_job,
)
from tests.factories import JobFactory, UserFactory


def texts(job, by):
    return [blocker.text for blocker in missing(job, by=by)]


@pytest.mark.parametrize("make", [ready_job, heavy_job, untested_job], ids=["tested", "driven", "no test"])
def test_nothing_is_missing_from_a_complete_file(engineer, make):
    assert texts(make(engineer), engineer) == []


def test_an_unsigned_triage(engineer):
    job = at_stage(JobFactory(), "certification")
    assert texts(job, engineer) == ["The triage is not signed: nothing says which test is needed."]


def test_facts_changed_after_the_test(engineer):
    job = ready_job(engineer)
    job.vehicle.overall_width_mm = 1900.0
    job.vehicle.save()
    found = texts(job, engineer)
    assert any(text.startswith("Changed since the triage was signed: ") and "width" in text for text in found)
    assert "Facts of the vehicle were changed since: overall width." in found


def test_signing_the_triage_again_does_not_heal_a_test_of_another_vehicle(engineer):
    job = ready_job(engineer)
    job.vehicle.overall_width_mm = 1900.0
    job.vehicle.save()
    sign_triage(at_stage(job, "triage"), engineer)
    job = at_stage(job, "certification")
    assert texts(job, engineer) == ["Facts of the vehicle were changed since: overall width."]


def test_a_driver_who_is_not_satisfied(engineer):
    job = JobFactory()
    sign_triage(job, engineer)
    day_of_testing(job, engineer, safe=False)
    state(job, engineer)
    (only,) = texts(at_stage(job, "certification"), engineer)
    assert "does not call the vehicle safe to drive: Steady." in only


def test_a_test_that_was_never_driven(engineer):
    job = JobFactory()
    sign_triage(job, engineer)
    state(job, engineer)
    assert texts(at_stage(job, "certification"), engineer) == ["The test day has not been opened."]


def test_a_driving_report_that_does_not_say_safe(engineer):
    (only,) = texts(heavy_job(engineer, safe=False), engineer)
    assert "does not call the vehicle safe" in only


def test_a_signatory_without_authority_number(engineer):
    (only,) = texts(untested_job(engineer), UserFactory(first_name="Nora", last_name="Newcomer"))
    assert only.startswith("Nora Newcomer has no authority number")


def test_a_job_that_is_elsewhere(engineer):
    job = at_stage(untested_job(engineer), "scheduling")
    assert texts(job, engineer) == [f"{job.number} has not reached certifying yet."]


@pytest.mark.parametrize("act", ["gone", "changed"])
def test_evidence_that_is_no_longer_what_was_taken_in(engineer, act):
    job = untested_job(engineer)
    name = document(job, b"%PDF-receipt", caption="Receipt").file.name
    default_storage.delete(name)
    if act == "changed":
        with default_storage.open(name, "wb") as file:
            file.write(b"%PDF-other")
    (only,) = texts(job, engineer)
    assert (
        only
        == {
            "gone": "“Receipt”: the file is missing from the store.",
            "changed": "“Receipt”: the file is not the one that was taken in.",
        }[act]
    )


def test_a_run_that_comes_after_the_drivers_signature_is_looked_at_first(engineer):
    job = ready_job(engineer)
    day = job.bookings.get().test_day
    run(day, engineer, "tm2", 110, outcome="cones", cones_moved=1)
    (found,) = texts(job, engineer)
    assert found.startswith("Run 11 (") and found.endswith("reached the sheet after the driver had signed.")


def test_a_vehicle_without_vin_and_without_chassis_number(engineer):
    job = untested_job(engineer)
    job.vehicle.vin = ""
    job.vehicle.save()
    (only,) = missing(job, by=engineer)
    assert only.text == "Neither VIN nor chassis number is known: nothing says which vehicle this is."
    assert only.url == f"/jobs/{job.number}/vehicle/#id_vin"
    job.vehicle.chassis_number = "FJ40-12345"
    job.vehicle.save()
    assert texts(job, engineer) == []


def test_a_job_without_a_modification(engineer):
    job = JobFactory(modifications=[])
    sign_triage(job, engineer)
    job = at_stage(job, "certification")
    state(job, engineer)
    (only,) = missing(job, by=engineer)
    assert only.text == "No modification is recorded: there is nothing to certify."
    assert only.url == f"/jobs/{job.number}/modifications/"


def test_who_issues_on_a_driving_report_has_driven(engineer):
    job, other = heavy_job(engineer), UserFactory(first_name="Bea", last_name="Second", authority_number="SIG-0099")
    (only,) = missing(job, by=other)
    assert only.text == (
        f"{engineer.full_name} drove for the driving report, and the certificate states that its signatory has driven "
        f"the vehicle: either {engineer.full_name} signs it, or Bea Second drives and reports as well."
    )
    assert only.url == f"/jobs/{job.number}/driving-report/"


def test_a_lane_change_may_be_certified_by_another_signatory_than_the_one_who_countersigned(engineer):
    other = UserFactory(first_name="Bea", last_name="Second", authority_number="SIG-0099")
    assert texts(ready_job(engineer), other) == []
