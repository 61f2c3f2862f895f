"""The page of a job asks the database once for what its steps ask many times, and never what stood there before."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.reading import one_reading, read_once
from testing.triage import decision
from tests.testday_factories import climb, confirm_all, opened_day

pytestmark = pytest.mark.django_db


def queries_of(client, job):
    client.get(f"/jobs/{job.number}/")  # a line that is due is worked out by whoever looks first
    with CaptureQueriesContext(connection) as seen:
        assert client.get(f"/jobs/{job.number}/").status_code == 200
    return [query["sql"] for query in seen]


def test_at_the_test_day_the_signed_decision_is_read_once_and_runs_cost_nothing(
    as_, job, site, driver, driver_user, engineer
):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    client = as_(engineer)
    before = queries_of(client, job)
    for mass in ("tm1", "tm2"):
        climb(day, by=driver_user, mass=mass)
    after = queries_of(client, job)
    of_the_decision = [sql for sql in after if 'FROM "testing_signedtriage"' in sql]
    assert len(of_the_decision) == 1
    assert len(after) <= len(before) < 100


def test_outside_a_page_everything_is_read_anew(job, engineer):
    asked = []
    read = read_once(lambda record: asked.append(record) or len(asked))
    assert (read(job), read(job)) == (1, 2)
    with one_reading():
        assert (read(job), read(job)) == (3, 3)
    assert read(job) == 4


def test_a_reading_ends_also_when_the_page_fails(job):
    with pytest.raises(ZeroDivisionError), one_reading():
        decision.signed(job)
        raise ZeroDivisionError
    with CaptureQueriesContext(connection) as seen:
        decision.signed(job)
    assert len(seen) == 1
