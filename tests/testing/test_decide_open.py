"""All open lines on one page: what is complete is kept at once, nothing typed is lost."""

import pytest

from testing.models import Override
from testing.triage import decision
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db
STEERING = [("steering_change", {})]  # LT2 and LS are left open


@pytest.fixture
def open_job():
    return JobFactory(modifications=STEERING, stage="triage")


def url(job):
    return f"/jobs/{job.number}/triage/decide/"


def test_every_open_line_is_there_with_its_reasons(as_, engineer, open_job):
    page = as_(engineer).get(url(open_job)).content.decode()
    assert "Lane-change test (LT2)" in page
    assert "Tyres, rims, suspension and steering (LS)" in page
    assert "Change of steering design: the signatory decides." in page


def test_all_are_decided_at_once_each_with_its_reason(as_, engineer, open_job):
    sent = {
        "need-lt2": "not_required", "reason-lt2": "Same rack as the sister model.",
        "need-ls": "required", "reason-ls": "LS2 applies.",
    }  # fmt: skip
    response = as_(engineer).post(url(open_job), sent, follow=True)
    assert "Decided: 2. Left open: 0." in response.content.decode()
    kept = {(row.code, row.need, row.reason) for row in Override.objects.all()}
    assert kept == {
        ("LT2", "not_required", "Same rack as the sister model."),
        ("LS", "required", "LS2 applies."),
    }
    assert decision.triage_of(open_job).open_lines == []


def test_one_reason_serves_all_lines_without_their_own(as_, engineer, open_job):
    sent = {"common_reason": "Seen on the vehicle.", "need-lt2": "required", "need-ls": "required", "reason-ls": "LS2."}
    as_(engineer).post(url(open_job), sent)
    assert dict(Override.objects.values_list("code", "reason")) == {"LT2": "Seen on the vehicle.", "LS": "LS2."}


def test_what_is_complete_is_kept_and_the_rest_stays_as_it_was_typed(as_, engineer, open_job):
    sent = {"need-lt2": "required", "reason-lt2": "Rack of another model.", "reason-ls": "A reason without a decision"}
    response = as_(engineer).post(url(open_job), sent)
    page = response.content.decode()
    assert Override.objects.get().code == "LT2"
    assert "Decided and kept: 1." in page
    assert "Choose the decision that this reason is for." in page
    assert "A reason without a decision" in page
    assert "Lane-change test" not in page.split("<form")[-1]
    assert "A reason without a decision" in as_(engineer).get(url(open_job)).content.decode()


def test_a_decision_without_a_reason_is_told_at_its_line(as_, engineer, open_job):
    page = as_(engineer).post(url(open_job), {"need-lt2": "required"}).content.decode()
    assert "A decision needs its reason" in page
    assert not Override.objects.exists()


def test_lines_may_stay_open(as_, engineer, open_job):
    response = as_(engineer).post(url(open_job), {}, follow=True)
    assert "Decided: 0. Left open: 2." in response.content.decode()


@pytest.mark.parametrize(
    "sent",
    [
        {"need-lt2": "undecided", "reason-lt2": "x"},
        {"need-lt2": "required\x00", "reason-lt2": "x"},
        {"need-lt2": "required", "reason-lt2": "x" * 301},
        {"need-lt2": "required", "reason-lt2": "a\x00b"},
        {"need-lt2": "required", "reason-lt2": "   "},
    ],
)
def test_bad_input_is_told_and_nothing_is_kept(as_, engineer, open_job, sent):
    response = as_(engineer).post(url(open_job), sent)
    assert response.status_code == 200
    assert "Not saved yet" in response.content.decode()
    assert not Override.objects.exists()


def test_braces_in_the_text_of_a_rule_are_only_text(as_, engineer, open_job, monkeypatch):
    from testing.triage import triage

    rules = triage.rules_for(open_job.jurisdiction)
    rule = rules.rule_set.discretions["steering_change"]
    monkeypatch.setitem(rule.__dict__, "note", "{{ request.user }} {% now 'Y' %}")
    monkeypatch.setattr("testing.triage.compute._computed", triage.computed.__globals__["_computed"].__wrapped__)
    page = as_(engineer).get(url(open_job)).content.decode()
    assert "&#123;&#123; request.user }}" in page


def test_without_open_lines_it_leads_back(as_, engineer):
    job = JobFactory(modifications=[("roof_load", {"mass_kg": 0.0})])
    assert "No line is open." in as_(engineer).get(url(job), follow=True).content.decode()


def test_a_closed_file_is_not_decided_any_more(as_, engineer):
    job = JobFactory(modifications=STEERING, stage="done")
    sent = {"need-lt2": "required", "reason-lt2": "Too late."}
    assert "is closed" in as_(engineer).post(url(job), sent).content.decode()
    assert not Override.objects.exists()
