"""Each person lands where their work is."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.models import Job
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


def test_staff_land_in_the_job_book(as_, desk):
    assert as_(desk).get("/").url == "/jobs/"


def test_the_driver_lands_at_the_day_sheets(as_, driver_user):
    assert as_(driver_user).get("/").url == "/day-sheets/"


def test_an_owner_sees_their_own_jobs_only(as_, owner_user, owned_job):
    other = JobFactory()
    page = as_(owner_user).get("/").content.decode()
    assert owned_job.owner_token in page
    assert other.owner_token not in page


def test_many_vehicles_cost_an_owner_no_more_queries_than_one(as_, owner_user, owned_job):
    client = as_(owner_user)

    def queries():
        with CaptureQueriesContext(connection) as seen:
            client.get("/")
        return len(seen)

    one = queries()
    for _ in range(12):
        JobFactory(owner=owned_job.owner)
    assert queries() == one


def test_of_several_links_the_newest_that_stands_is_shown(as_, owner_user, owned_job):
    # While the job is open no link expires.
    Job.objects.filter(pk=owned_job.pk).update(stage="done")
    newer = owned_job.owner_links.create()
    owned_job.owner_links.create(revoked_at=timezone.now())
    owned_job.owner_links.create(expires_at=timezone.now() - timedelta(days=1))
    assert f'href="/owner/{newer.token}/"' in as_(owner_user).get("/").content.decode()
    owned_job.owner_links.update(revoked_at=timezone.now())
    assert "ring the workshop for a new address" in as_(owner_user).get("/").content.decode()


def test_nobody_is_let_in_without_signing_in(client):
    assert client.get("/").url == "/sign-in/?next=/"


@pytest.mark.parametrize(
    ("referer", "back"),
    [("http://testserver/jobs/book-in/", "http://testserver/jobs/book-in/"), ("http://evil.example/", "/"), ("", "/")],
)
def test_a_page_that_had_grown_old_says_so_and_leads_back(desk, referer, back):
    client = Client(enforce_csrf_checks=True)
    client.force_login(desk)
    response = client.post("/jobs/book-in/", {"name": "Olive"}, headers={"referer": referer} if referer else {})
    page = response.content.decode()
    assert response.status_code == 403
    assert "Nothing was changed" in page
    assert f'href="{back}"' in page
    assert not Job.objects.exists()


def test_the_head_says_where_somebody_is(as_, desk):
    page = as_(desk).get("/planner/").content.decode()
    assert page.count('aria-current="page"') == 1
    assert '<a href="/planner/" aria-current="page">Planner</a>' in page
