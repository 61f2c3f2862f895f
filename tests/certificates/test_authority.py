"""A certificate is signed under the authority that holds in its jurisdiction on its day, or not at all."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import Group
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from certificates import sealing
from certificates.after_issue import correct
from certificates.check import verify_chain
from certificates.gaps import missing
from certificates.services import issue
from jobs.models import Counter
from jobs.refused import Refused
from jobs.workshop import signatories
from testing.triage.checking import mark_checked
from testing.triage.editions import in_force
from tests.certificates_factories import untested_job


def listed(person, admin, place="NSW", *, number="NSW 77/b", begins=-10, ends=10):
    """A line of the workshop's list, from and until so many days from today."""
    today = timezone.localdate()
    days = {"valid_from": today + timedelta(days=begins), "valid_to": today + timedelta(days=ends)}
    return signatories.add(by=admin, user=person, jurisdiction=place, number=number, **days)


def test_the_number_of_the_day_goes_into_record_number_and_register(engineer, admin_user, plain_papers):
    authority = listed(engineer, admin_user)
    listed(engineer, admin_user, "QLD", number="Q-1")
    issued = issue(job=untested_job(engineer), by=engineer)
    assert issued.record["signatory"]["authority_number"] == "NSW 77/b"
    assert issued.number == f"NSW-77-B-{issued.issued_on.year}-0001"
    assert issued.line.engineer == f"{engineer.full_name}, NSW 77/b"
    # What ends later takes nothing from what was signed under it; a correction needs an authority of its own day.
    signatories.end(authority, on=timezone.localdate() - timedelta(days=1))
    assert list(verify_chain()) == []
    with pytest.raises(Refused, match="no authority that is valid in NSW"):
        correct(certificate=issued, by=engineer, changes={"plate": "NEW01"}, reason="Typed wrong at the counter")


@pytest.mark.parametrize(
    ("place", "begins", "ends"),
    [("QLD", -10, 10), ("NSW", -10, -1), ("NSW", 1, 10)],
    ids=["elsewhere", "past", "ahead"],
)
def test_an_authority_for_another_place_or_day_stops_the_signature(engineer, admin_user, place, begins, ends):
    authority = listed(engineer, admin_user, place, begins=begins, ends=ends)
    job = untested_job(engineer)
    (only,) = missing(job, by=engineer)
    day = date_format(timezone.localdate())
    assert only.text.startswith(f"{engineer.full_name} has no authority that is valid in NSW on {day}.")
    assert (
        f"NSW 77/b for {place}, {date_format(authority.valid_from)} to {date_format(authority.valid_to)}" in only.text
    )
    assert "Workshop, Signatories" in only.text
    with pytest.raises(Refused, match="no authority that is valid"):
        issue(job=job, by=engineer)
    assert not Counter.objects.filter(name__startswith="certificate").exists()


def test_an_authority_that_ends_between_the_look_and_the_signature_takes_no_number(
    engineer, admin_user, plain_papers, monkeypatch
):
    listed(engineer, admin_user, ends=0)
    job = untested_job(engineer)
    tomorrow = timezone.now() + timedelta(days=1)
    monkeypatch.setattr(sealing.timezone, "now", lambda: tomorrow)
    monkeypatch.setattr("certificates.gaps.authority.gap", lambda *args, **options: None)
    with pytest.raises(Refused, match="no authority that is valid"):
        issue(job=job, by=engineer)
    assert not Counter.objects.filter(name__startswith="certificate").exists()


def test_the_review_leads_to_the_list_whoever_may_keep_it(engineer, admin_user, as_):
    listed(engineer, admin_user, "QLD")
    job = untested_job(engineer)
    page, to = reverse("certificates:preview", args=[job.number]), reverse("jobs:signatories")
    assert f'href="{to}"' not in as_(engineer).get(page).content.decode()
    engineer.groups.add(Group.objects.get(name="admin"))
    assert f'<a href="{to}">{engineer.full_name} has no authority' in as_(engineer).get(page).content.decode()


def test_a_mark_on_the_edition_counts_as_it_stood_when_the_decision_was_signed(engineer, plain_papers):
    national, own = in_force("NSW")
    today = timezone.localdate()
    mark_checked(edition=national, by=engineer, on=today, remark="Held against the printed text.")
    job = untested_job(engineer)
    # Too late for this decision: what was signed rested on an unchecked edition.
    mark_checked(edition=own, by=engineer, on=today, remark="Held against the printed text.")
    rules = {rule["id"]: rule for rule in issue(job=job, by=engineer).record["rules"]}
    marked = f"{engineer.full_name}, SIG-0042"
    assert (rules[national.key]["checked_by"], rules[national.key]["checked_on"]) == (marked, today.isoformat())
    assert (rules[own.key]["checked_by"], rules[own.key]["checked_on"]) == (None, None)
    assert rules[own.key]["source"] == own.data["source"]
