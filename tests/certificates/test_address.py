"""The address that a certificate carries for good: the one the workshop set, and never this machine's own."""

import pytest

from certificates import after_issue, checking
from certificates.gaps import missing
from certificates.services import issue
from jobs.models import Workshop
from jobs.refused import Refused
from tests.certificates_factories import untested_job


def test_record_and_code_lead_where_the_workshop_says(engineer, admin_user, plain_papers):
    Workshop.objects.create(name="W", web_address="https://book.example.com/", saved_by=admin_user)
    check = issue(job=untested_job(engineer), by=engineer).record["check"]
    assert check["address"] == f"https://book.example.com/check/{checking.spelled(check['code'])}/"


@pytest.mark.parametrize(
    ("hosts", "nowhere"),
    [
        (["127.0.0.1"], True), (["localhost"], True), (["0.0.0.0"], True), (["*"], True), ([".example.com"], True),  # noqa: S104
        ([], True), (["book.example.com"], False), (["192.168.1.5"], False), (["app.localhost"], True),
    ],
)  # fmt: skip
def test_outside_the_demo_nothing_is_issued_that_leads_to_this_machine(engineer, settings, plain, hosts, nowhere):
    settings.ALLOWED_HOSTS = hosts
    assert checking.leads_nowhere() == ""
    settings.DEMO = False
    assert bool(checking.leads_nowhere()) == nowhere
    job = untested_job(engineer)
    assert any("this machine alone" in blocker.text for blocker in missing(job, by=engineer)) == nowhere
    if nowhere:
        with pytest.raises(Refused, match="under Workshop"):
            issue(job=job, by=engineer)
        with pytest.raises(Refused, match="this machine alone"):
            after_issue.correct(certificate=plain, by=engineer, changes={"plate": "N1"}, reason="Typed wrong")


def test_the_environment_gives_it_where_the_workshop_does_not(db, settings, monkeypatch):
    settings.DEMO = False
    monkeypatch.setenv("JOBBOOK_ADDRESS", "https://[::1]:8000")
    assert checking.leads_nowhere() == "https://[::1]:8000"
    monkeypatch.setenv("JOBBOOK_ADDRESS", "https://from-outside.example/")
    assert checking.leads_nowhere() == ""
