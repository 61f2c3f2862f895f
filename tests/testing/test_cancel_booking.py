"""Giving a booking up."""

import pytest
from django.urls import reverse

from testing.models import BookedSlot
from testing.scheduling import services
from tests.scheduling_factories import ready_job, wanted
from tests.testday_factories import book

pytestmark = pytest.mark.django_db


@pytest.fixture
def booked(engineer):
    job = ready_job()
    services.book(by=engineer, job=job, **wanted())
    return job


def post(client, job, reason):
    return client.post(
        reverse("testing:cancel_booking", args=[job.number]),
        {"cancel-reason": reason, "cancel-cause": "weather"},
        follow=True,
    )


def test_the_row_stays_with_its_reason_and_the_slots_are_free(as_, engineer, booked):
    post(as_(engineer), booked, "Rain all week")
    booking = booked.bookings.get()
    assert (booking.cancelled_because, booking.cancelled_at is not None) == ("Rain all week", True)
    assert not BookedSlot.objects.exists()
    assert services.standing_booking(booked) is None
    assert "Rain all week" in booked.audit_entries.first().what


@pytest.mark.parametrize("reason", ["", "   ", "x" * 151, "a\x00b"])
def test_without_a_usable_reason_it_stands(as_, engineer, booked, reason):
    assert "it still stands" in post(as_(engineer), booked, reason).content.decode()
    assert services.standing_booking(booked)


def test_cancelling_twice_is_said(as_, engineer, booked):
    post(as_(engineer), booked, "Rain")
    assert "no booking that could be cancelled" in post(as_(engineer), booked, "Rain").content.decode()


def test_on_the_test_day_the_job_returns_to_scheduling(engineer, booked):
    booked.stage = "testday"
    booked.save()
    services.cancel(by=engineer, job=booked, reason="Too windy")
    booked.refresh_from_db()
    assert booked.stage == "scheduling"


def test_it_is_posted_by_somebody_who_plans(as_, desk, engineer, booked):
    assert as_(desk).post(reverse("testing:cancel_booking", args=[booked.number])).status_code == 403
    assert as_(engineer).get(reverse("testing:cancel_booking", args=[booked.number])).status_code == 405


def test_what_it_is_given_up_for_is_chosen(as_, engineer, job, site, driver):
    book(job, site=site, driver=driver, engineer=engineer, days=3)
    url = reverse("testing:cancel_booking", args=[job.number])
    page = as_(engineer).post(url, {"cancel-reason": "No rain at all"}, follow=True).content.decode()
    assert "Choose what the booking is cancelled for" in page
    assert job.bookings.standing().exists()
    as_(engineer).post(url, {"cancel-reason": "No rain at all", "cancel-cause": "crew"})
    assert job.bookings.get().cause == "crew"
