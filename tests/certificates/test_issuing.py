"""Issuing as one act: everything or nothing, once, with numbers that have no gaps."""

from datetime import UTC, datetime

import pytest
from django.core.files.storage import default_storage

from certificates import pdf, sealing, services
from certificates.chain import ISSUED
from certificates.check import verify_chain
from certificates.models import Certificate
from certificates.seal import FIRST_PREDECESSOR
from certificates.services import issue
from jobs.models import Counter, Job
from jobs.refused import Refused
from tests.certificates_factories import at_stage, heavy_job, ready_job, untested_job
from tests.factories import UserFactory


def _files():
    return default_storage.listdir("certificates")[1] if default_storage.exists("certificates") else []


def test_issuing_numbers_seals_files_and_closes(engineer):
    job = ready_job(engineer)
    certificate = issue(job=job, by=engineer)
    assert certificate.number == f"SIG-0042-{certificate.issued_on.year}-0001"
    assert (certificate.position, certificate.previous_seal) == (1, FIRST_PREDECESSOR)
    assert certificate.record["outcome"]["code"] == "lane_change_test_passed"
    assert Job.objects.get(pk=job.pk).done
    assert len(_files()) == 2
    entry = job.audit_entries.get(what=ISSUED)
    assert (entry.by, entry.details["seal"]) == (engineer, certificate.seal)
    assert list(verify_chain()) == []


def test_each_certificate_is_sealed_behind_the_one_before(engineer):
    first, second, third = (issue(job=untested_job(engineer), by=engineer) for _ in range(3))
    assert [c.number[-4:] for c in (first, second, third)] == ["0001", "0002", "0003"]
    assert (second.previous_seal, third.previous_seal) == (first.seal, second.seal)
    assert third.record["predecessor"]["report_sha256"] == second.report_sha256


def test_the_numbers_begin_anew_with_the_year_and_the_chain_goes_on(engineer, monkeypatch):
    first = issue(job=untested_job(engineer), by=engineer)
    later = datetime(first.issued_on.year + 1, 2, 3, 4, 5, tzinfo=UTC)
    monkeypatch.setattr(sealing.timezone, "now", lambda: later)
    second = issue(job=untested_job(engineer), by=engineer)
    assert second.number == f"SIG-0042-{later.year}-0001"
    assert (second.position, second.previous_seal) == (2, first.seal)


def test_issuing_twice_issues_once(engineer):
    job = untested_job(engineer)
    assert issue(job=job, by=engineer) == issue(job=job, by=engineer)
    assert Certificate.objects.count() == 1
    assert len(_files()) == 2


@pytest.mark.parametrize(
    ("make", "code"), [(heavy_job, "driving_report"), (untested_job, "no_test_required")], ids=["heavy", "untested"]
)
def test_the_outcome_follows_the_signed_triage(engineer, make, code):
    assert issue(job=make(engineer), by=engineer).record["outcome"]["code"] == code


@pytest.mark.parametrize("broken", ["report", "seal", "move_on"])
def test_when_it_fails_half_way_nothing_is_left(engineer, monkeypatch, broken):
    job = untested_job(engineer)

    def fail(*args, **kwargs):
        raise RuntimeError("out of paper")

    where, name = {
        "report": (pdf, "report"),
        "seal": (sealing, "own_faults"),
        "move_on": (services.stages, "move_on"),
    }[broken]
    with monkeypatch.context() as patched, pytest.raises(RuntimeError):
        patched.setattr(where, name, fail)
        issue(job=job, by=engineer)
    assert _files() == []
    assert not Certificate.objects.exists()
    assert not job.audit_entries.filter(what=ISSUED).exists()
    assert not Counter.objects.filter(name__startswith="certificate", last__gt=0).exists()
    assert issue(job=job, by=engineer).number.endswith("-0001")


def test_a_refusal_carries_every_reason_and_takes_no_number(db, engineer):
    nobody = UserFactory(roles=["engineer"])
    job = heavy_job(engineer, safe=False)
    with pytest.raises(Refused) as refused:
        issue(job=at_stage(job, "testday"), by=nobody)
    text = str(refused.value)
    assert "has not reached certifying" in text
    assert "does not call the vehicle safe" in text
    assert "no authority number" in text
    assert not Counter.objects.filter(name__startswith="certificate").exists()
