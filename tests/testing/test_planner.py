"""The planner page: what waits, what is booked, what there is to plan with."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from testing.scheduling import services
from tests.factories import CrewMemberFactory, JobFactory
from tests.scheduling_factories import in_days, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db
URL = "/planner/"


def test_empty_lists_say_what_to_do(as_, engineer):
    page = as_(engineer).get(URL).content.decode()
    for text in ("No job waits for a day", "Nothing is booked", "No site yet", "No crew yet"):
        assert text in page


def test_waiting_jobs_and_bookings(as_, engineer):
    waits, booked, elsewhere = ready_job(), ready_job(), JobFactory(stage="triage")
    site = level_site(time_zone="Australia/Perth")
    services.book(by=engineer, job=booked, **wanted(site=site))
    response = as_(engineer).get(URL)
    assert list(response.context["waiting"]) == [waits]
    assert [booking.job for booking in response.context["bookings"]] == [booked]
    page = response.content.decode()
    assert "06:00 to 10:00 AWST" in page
    assert elsewhere.number not in page
    assert reverse("testing:schedule", args=[waits.number]) in page


def test_a_cancelled_booking_puts_the_job_back_among_the_waiting(as_, engineer):
    job = ready_job()
    services.book(by=engineer, job=job, **wanted())
    services.cancel(by=engineer, job=job, reason="Rain")
    response = as_(engineer).get(URL)
    assert list(response.context["waiting"]) == [job]
    assert not response.context["bookings"]


def test_evidence_out_of_date_is_marked(as_, engineer):
    CrewMemberFactory(evidence_valid_to=in_days(-1))
    assert "out of date" in as_(engineer).get(URL).content.decode()


def test_the_desk_sees_and_has_no_way_to_change(as_, desk):
    site, member, job = level_site(), CrewMemberFactory(), ready_job()
    page = as_(desk).get(URL).content.decode()
    assert site.name in page
    assert member.name in page
    for name, args in (("site", [site.pk]), ("add_site", []), ("crew_member", [member.pk]), ("schedule", [job.number])):
        assert f'"{reverse(f"testing:{name}", args=args)}"' not in page


def test_the_number_of_queries_does_not_grow(as_, engineer):
    client = as_(engineer)

    def queries():
        with CaptureQueriesContext(connection) as caught:
            client.get(URL)
        return len(caught)

    counts = []
    for number in range(4):
        services.book(by=engineer, job=ready_job(), **wanted(day=in_days(2 + number)))
        ready_job()
        counts.append(queries())
    assert len(set(counts)) == 1
    assert counts[0] <= 20


def test_an_owner_or_driver_has_no_planner(as_, owner_user, driver_user):
    assert as_(owner_user).get(URL).status_code == 403
    assert as_(driver_user).get(URL).status_code == 403
