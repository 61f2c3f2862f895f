"""The triage record: readable years later as it was decided, whatever changed since."""

import pytest

from testing.triage import checking, decision
from testing.triage.editions import in_force
from tests.factories import JobFactory
from vehicles.calculations.triage import triage as real

pytestmark = pytest.mark.django_db


@pytest.fixture
def signed(engineer):
    job = JobFactory(modifications=[("steering_change", {}), ("suspension_lift", {"front_mm": 30.0, "rear_mm": 40.0})])
    lines = decision.triage_of(job).open_lines
    decision.decide(job=job, by=engineer, decisions=[(line.code, "required", "Seen on it.") for line in lines])
    return decision.sign(job=job, by=engineer)


def record(as_, user, signed):
    return as_(user).get(f"/jobs/{signed.job.number}/triage/signed/{signed.pk}/").content.decode()


def test_it_shows_facts_rules_reasons_and_decisions(as_, engineer, signed):
    page = record(as_, engineer, signed)
    for words in (
        "authority number SIG-0042", "2,950 kg", "front 30 mm, rear 40 mm", "AU-VSB14", "NSW-2016-11",
        "Overall rise 40.0 mm is not more than 75 mm", "because Seen on it.", "at the engineer&#x27;s discretion",
        "Evidence to collect", "not yet checked against the current text",
        "in force from 1 November 2016:",
    ):  # fmt: skip
        assert words in page


def test_later_changes_of_people_and_marks_leave_it_as_it_was(as_, engineer, signed):
    engineer.last_name, engineer.authority_number = "Renamed", "SIG-9999"
    engineer.save()
    for edition in in_force("NSW"):
        checking.mark_checked(edition=edition, by=engineer, on=signed.at.date(), remark="Held beside the text.")
    page = record(as_, engineer, signed).split("<main")[1]
    assert "SIG-0042" in page
    assert "Renamed" not in page
    assert "not yet checked against the current text" in page


def test_a_superseded_record_says_so(as_, engineer, signed):
    signed.job.vehicle.gvm_kg = 3000.0
    signed.job.vehicle.save()
    decision.sign(job=signed.job, by=engineer)
    assert "Superseded" in record(as_, engineer, signed)
    assert "2,950 kg" in record(as_, engineer, signed).split("Facts")[1]


def test_signing_twice_signs_once(engineer, signed):
    assert decision.sign(job=signed.job, by=engineer) == signed
    assert signed.job.signed_triages.count() == 1


def test_what_was_not_read_is_not_signed(as_, engineer):
    job = JobFactory(modifications=[("roof_load", {"mass_kg": 0.0})])
    seen = decision.triage_of(job).digest
    job.vehicle.gvm_kg = 3600.0
    job.vehicle.save()
    url = f"/jobs/{job.number}/triage/sign/"
    assert "changed while you were reading" in as_(engineer).post(url, {"seen": seen}, follow=True).content.decode()
    assert decision.signed(job) is None


def test_another_reason_asks_for_a_new_signature(as_, engineer, signed):
    decision.override(job=signed.job, by=engineer, code="LS", need="required", reason="LS2, by the drawing.")
    assert decision.is_stale(signed.job)
    page = as_(engineer).get(f"/jobs/{signed.job.number}/triage/").content.decode()
    assert "decided because: LS2, by the drawing." in page


def test_beyond_certifying_stops_the_job(as_, engineer):
    job = JobFactory(stage="triage", jurisdiction="QLD", modifications=[("body_lift", {"lift_mm": 60.0})])
    lines = decision.triage_of(job).open_lines
    decision.decide(job=job, by=engineer, decisions=[(line.code, "required", "Seen on it.") for line in lines])
    decision.sign(job=job, by=engineer)
    assert "Cannot be certified as it is" in as_(engineer).get(f"/jobs/{job.number}/triage/").content.decode()
    assert "cannot be certified as it is: change it back" in as_(engineer).get(f"/jobs/{job.number}/").content.decode()
    as_(engineer).post(f"/jobs/{job.number}/move-on/", {"step": "triage"})
    job.refresh_from_db()
    assert job.stage == "triage"


def test_evidence_follows_the_decision(engineer):
    job = JobFactory(modifications=[("steering_change", {})])
    line = {line.code: line for line in decision.triage_of(job).lines}["INSURANCE"]
    assert (line.need, line.waits) == ("discretionary", True)
    decision.override(job=job, by=engineer, code="LT2", need="not_required", reason="Same geometry.")
    assert decision.triage_of(job).line("INSURANCE").need == "not_required"


def test_the_page_computes_once(engineer, job, monkeypatch):
    """The job's page asks for the triage several times; the same facts are not decided twice."""
    from testing.triage import compute

    calls = []
    monkeypatch.setattr(compute, "triage", lambda case, rules: calls.append(case) or real(case, rules=rules))
    compute._computed.cache_clear()
    decision.is_stale(job)
    for _ in range(3):
        decision.triage_of(job)
    assert len(calls) == 1
