"""Who settles a finding, and that one act is written once however often its form is sent."""

import uuid

import pytest
from django.urls import reverse

from certificates import audits
from certificates.models import Event
from jobs.refused import Refused
from tests.factories import UserFactory


@pytest.fixture
def found(plain, auditor):
    return audits.find_fault(subject=plain, by=auditor, text="Lane width wrong", grade="critical")


def url(found):
    return reverse("certificates:follow_up", args=[found.position])


def test_an_engineer_answers_and_does_not_settle(found, engineer, as_):
    page = as_(engineer).get(url(found)).content.decode()
    assert 'name="closes"' not in page
    assert "An auditor who did not sign the certificate settles the finding." in page
    as_(engineer).post(url(found), {"text": "Fine.", "closes": "on", "sent_as": uuid.uuid4()})
    assert not found.answered_by.get().record["closes"]
    assert list(audits.open_findings()) == [found]
    with pytest.raises(Refused, match="settled by an auditor"):
        audits.follow_up(finding=found, by=engineer, text="Fine.", closes=True)


def test_not_even_an_auditor_settles_what_is_about_their_own_signature(found, plain):
    both = UserFactory(roles=["engineer", "auditor"])
    assert audits.may_settle(found, both)
    found.certificate.issued_by = both
    assert not audits.may_settle(found, both)


def test_a_settled_finding_takes_no_further_word(found, auditor, as_):
    audits.follow_up(finding=found, by=auditor, text="Measured anew.", closes=True)
    with pytest.raises(Refused, match="settled already"):
        audits.follow_up(finding=found, by=auditor, text="Again.", closes=False)
    page = as_(auditor).post(url(found), {"text": "Again.", "sent_as": uuid.uuid4()}).content.decode()
    assert "The finding is settled already" in page
    assert found.answered_by.count() == 1


@pytest.mark.parametrize("name", ["finding", "transfer", "follow_up"])
def test_a_form_sent_twice_is_one_act(request, plain, engineer, auditor, as_, name):
    mark = uuid.uuid4()
    said = {
        "finding": {"grade": "major", "text": "Faint."},
        "transfer": {"new_owner": "Nora", "on": f"{plain.issued_on}", "evidence": "Papers"},
        "follow_up": {"text": "Looking for it."},
    }[name]
    at = url(request.getfixturevalue("found")) if name == "follow_up" else ""
    at = at or reverse(f"certificates:{name}", args=[plain.number])
    before = Event.objects.count()
    client = as_(engineer if name == "transfer" else auditor)
    assert 'name="sent_as"' in client.get(at).content.decode()
    for _ in range(2):
        assert client.post(at, {**said, "sent_as": mark}).status_code == 302
    assert Event.objects.count() == before + 1
    client.post(at, {**said, "sent_as": uuid.uuid4()})
    assert Event.objects.count() == before + 2
    assert "Reload this page." in client.post(at, said).content.decode()
    assert Event.objects.count() == before + 2


def test_a_finding_in_an_audit_that_is_none_is_not_taken_for_one_without(plain, auditor, as_):
    at = reverse("certificates:finding", args=[plain.number]) + "?audit=NOPE"
    assert as_(auditor).get(at).status_code == 404
    said = {"grade": "major", "text": "Faint.", "sent_as": uuid.uuid4()}
    assert as_(auditor).post(at, said).status_code == 404
    assert not Event.objects.exists()
