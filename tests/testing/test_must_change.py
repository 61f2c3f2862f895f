"""After a test that was not passed: the engineer tells what has to change, then the owner decides."""

import pytest

from jobs import lines
from jobs.models import AuditEntry, OutboxMessage
from jobs.refused import Refused
from testing.models import Booking
from testing.testday import must_change, retest
from testing.testday.models import MustChange
from testing.testday.step import owner_news
from tests.certificates_factories import at_stage, day_of_testing, sign_triage
from tests.factories import JobFactory
from tests.owner_side import address
from tests.testday_factories import book

pytestmark = pytest.mark.django_db


@pytest.fixture
def failed(engineer):
    job = JobFactory()
    sign_triage(job, engineer)
    job = at_stage(job, "testday")
    day_of_testing(job, engineer, safe=False)
    return job


def line(job):
    lines.work_out(job.pk)
    return lines.of(job)


def test_the_engineer_is_next_until_the_owner_was_told(as_, engineer, failed, client):
    assert (line(failed).who, line(failed).act) == ("engineer", "Tell the owner what has to change on the vehicle.")
    assert "The engineer writes here what has to change" in client.get(address(failed)).content.decode()
    assert "Tell the owner what has to change" in as_(engineer).get(f"/jobs/{failed.number}/").content.decode()
    response = as_(engineer).post(f"/jobs/{failed.number}/must-change/", {"text": "Softer rear springs."})
    assert response.status_code == 302
    assert (line(failed).who, line(failed).act) == (
        "owner", "Decides what is changed on the vehicle before another test.",
    )  # fmt: skip
    page = client.get(address(failed)).content.decode()
    assert "What has to change: Softer rear springs." in page
    assert "tell us when it is done" in page
    letter = OutboxMessage.objects.get(kind="must_change")
    assert "Softer rear springs." in letter.body
    assert AuditEntry.objects.filter(job=failed, what="Told the owner what has to change", by=engineer).exists()
    assert "The owner was told what has to change" in as_(engineer).get(f"/jobs/{failed.number}/").content.decode()


def test_it_is_told_once_and_an_empty_word_is_none(as_, engineer, failed):
    assert as_(engineer).post(f"/jobs/{failed.number}/must-change/", {"text": ""}).status_code == 200
    must_change.tell(job=failed, by=engineer, text="Softer springs.")
    response = as_(engineer).post(f"/jobs/{failed.number}/must-change/", {"text": "Harder springs."})
    assert "was told already: “Softer springs.”" in response.content.decode()
    assert MustChange.objects.count() == 1


def test_where_nothing_failed_there_is_nothing_to_tell(engineer, job):
    sign_triage(job, engineer)
    with pytest.raises(Refused):
        must_change.tell(job=job, by=engineer, text="Softer springs.")


def test_a_retest_that_is_decided_makes_it_the_engineers_to_find_a_day(engineer, failed, site, driver):
    must_change.tell(job=failed, by=engineer, text="Softer springs.")
    retest.decide(job=failed, by=engineer, changed="Softer springs", vehicle_changed=True, mass_changed=False)
    assert (line(failed).who, line(failed).act) == ("engineer", "Find a day for the retest.")
    Booking.objects.filter(job=failed).update(cancelled_at="2026-03-05T00:00Z")
    book(failed, site=site, driver=driver, engineer=engineer, days=3)
    assert line(failed).who == "weather"
    assert owner_news(failed).asks[1].startswith("Take the roof rack")


def test_what_to_bring_stands_there_on_the_morning_itself(engineer, site, driver, job):
    sign_triage(job, engineer)
    at_stage(job, "testday")
    book(job, site=site, driver=driver, engineer=engineer)
    asks = " ".join(owner_news(job).asks)
    for thing in ("insurance document", "roof rack", "toolkit", "nine tenths full"):
        assert thing in asks
