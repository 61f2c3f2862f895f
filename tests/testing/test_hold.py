"""Holds: they take the time, run out by themselves, and become bookings when they are confirmed."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.refused import Refused
from testing.models import BookedSlot, Booking
from testing.scheduling import bookings, services
from testing.scheduling.conditions import conditions
from tests.scheduling_factories import at, in_days, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db


def hold(job, engineer, hold_h=48, **takes):
    return services.book(by=engineer, job=job, hold_h=hold_h, **takes)


def run_out():
    Booking.objects.filter(cancelled_at=None).update(held_until=timezone.now() - timedelta(seconds=1))


def test_a_hold_takes_its_time(engineer):
    site = level_site()
    hold(ready_job(), engineer, **wanted(site=site))
    with pytest.raises(Refused, match="is taken"):
        services.book(by=engineer, job=ready_job(), **wanted(site=site))


def test_it_never_outlasts_the_time_that_it_takes(engineer):
    booking = hold(ready_job(), engineer, hold_h=9000, **wanted(day=in_days(3)))
    assert booking.held_until == booking.starts_at


def test_a_held_day_is_not_yet_a_booked_day(engineer):
    job = ready_job()
    hold(job, engineer, **wanted())
    stands = conditions(job)[0]
    assert (stands.verdict, "only held until" in stands.text) == ("not_met", True)


def test_a_hold_is_confirmed(as_, engineer):
    job = ready_job()
    hold(job, engineer, **wanted())
    as_(engineer).post(reverse("testing:confirm_booking", args=[job.number]))
    assert services.standing_booking(job).held_until is None
    assert "Booking confirmed" in job.audit_entries.first().what
    assert services.confirm(by=engineer, job=job)


def test_while_it_is_held_confirming_comes_first(as_, engineer):
    job = ready_job()
    hold(job, engineer, **wanted())
    page = as_(engineer).get(reverse("testing:schedule", args=[job.number])).content.decode()
    assert page.count('class="next"') == 1 and '<button class="next">Confirm what is held' in page
    assert "<button>Move to this time" in page


def test_a_hold_that_ran_out_cannot_be_confirmed(as_, engineer):
    job = ready_job()
    hold(job, engineer, **wanted())
    run_out()
    page = as_(engineer).post(reverse("testing:confirm_booking", args=[job.number]), follow=True)
    assert "a hold that runs out is gone" in page.content.decode()
    assert services.standing_booking(job) is None


def test_a_hold_that_ran_out_gives_way_before_anybody_cleared_it(engineer):
    site, first, second = level_site(), ready_job(), ready_job()
    hold(first, engineer, **wanted(site=site))
    run_out()
    services.book(by=engineer, job=second, **wanted(site=site))
    assert services.standing_booking(second)
    assert first.bookings.get().cancelled_because == bookings.RUN_OUT
    assert "ran out" in first.audit_entries.first().what


def test_the_job_itself_can_be_booked_again_after_its_hold_ran_out(engineer):
    job = ready_job()
    hold(job, engineer, **wanted())
    run_out()
    services.book(by=engineer, job=job, **wanted(day=in_days(21)))
    assert services.standing_booking(job).day == in_days(21)


def test_clearing_holds_frees_what_they_took_and_does_it_once(engineer):
    hold(ready_job(), engineer, **wanted())
    kept = ready_job()
    services.book(by=engineer, job=kept, **wanted())
    Booking.objects.exclude(job=kept).update(held_until=timezone.now() - timedelta(seconds=1))
    assert [bookings.clear_run_out_holds(), bookings.clear_run_out_holds()] == [1, 0]
    assert set(BookedSlot.objects.values_list("booking__job", flat=True)) == {kept.pk}


def test_a_hold_costs_nothing_when_it_is_given_up(engineer):
    job = ready_job()
    hold(job, engineer, **wanted())
    services.cancel(by=engineer, job=job, reason="Other plans", paid_again=True)
    assert job.bookings.get().paid_again is False


def test_the_form_holds(as_, engineer, driver):
    job, site = ready_job(), level_site()
    facts = {"site": site.pk, "day": in_days(20).isoformat(), "start": "06:00", "hours": "4", "driver": driver.pk}
    as_(engineer).post(reverse("testing:schedule", args=[job.number]), {**facts, "hold": "hold"})
    until = services.standing_booking(job).held_until
    assert timedelta(hours=47) < until - timezone.now() <= timedelta(hours=48)


def test_at_says_the_moment_of_the_site(engineer):
    site = level_site()
    booking = hold(ready_job(), engineer, **wanted(site=site))
    assert booking.starts_at == at(site, in_days(20))
