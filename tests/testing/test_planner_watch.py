"""`manage.py planner_watch`: safe to run twice, safe to kill anywhere."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core import mail
from django.core.management import call_command
from django.utils import timezone

from certificates.demo.clock import at as at_time
from jobs.models import Draft, OutboxMessage
from testing.models import Booking
from testing.scheduling import bookings, risk, services, watch
from tests.scheduling_factories import calibrated, in_days, keep_weather, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db


@pytest.fixture
def reachable(engineer):
    engineer.email = "edmund@example.com"
    engineer.save()
    return engineer


def run():
    said = StringIO()
    call_command("planner_watch", stdout=said)
    return said.getvalue()


def planned(engineer, **weather):
    job, site = ready_job(), level_site()
    services.book(by=engineer, job=job, **wanted(site=site, day=in_days(5)))
    keep_weather(site, in_days(5), by=engineer, **weather)
    return job, site


def test_a_quiet_round_says_nothing():
    assert run() == ""


def test_a_draft_that_nobody_came_back_to_for_a_year_is_thrown_away(engineer):
    for path, days in (("/old/", 366), ("/young/", 364)):
        Draft.objects.create(user=engineer, path=path)
        Draft.objects.filter(path=path).update(kept_at=timezone.now() - timedelta(days=days))
    assert run() == ""
    assert [draft.path for draft in Draft.objects.all()] == ["/young/"]


def test_holds_that_ran_out_are_cleared_and_their_people_told(engineer):
    services.book(by=engineer, job=ready_job(), **wanted(), hold_h=1)
    Booking.objects.update(held_until=timezone.now() - timedelta(seconds=1))
    assert "1 holds ran out" in run()
    assert "holds ran out" not in run()


def test_a_forecast_that_turned_is_told_once(reachable):
    job, site = planned(reachable)
    run()
    mail.outbox.clear()
    keep_weather(site, in_days(5), by=reachable, wind=6.0)
    run()
    (told,) = (message for message in mail.outbox if message.to == [reachable.email])
    assert told.subject == f"At risk: {job.number}, {services.standing_booking(job).when}"
    assert "wind 6.0 m/s is over 3 m/s" in told.body
    run()
    assert sum(message.to == [reachable.email] for message in mail.outbox) == 1


def test_it_is_told_again_when_it_turned_back_and_turned_once_more(reachable):
    _, site = planned(reachable)
    for wind in (6.0, 1.0, 6.0):
        keep_weather(site, in_days(5), by=reachable, wind=wind)
        run()
    assert OutboxMessage.objects.filter(kind="at_risk").count() == 2


def test_the_risk_goes_when_the_forecast_is_good_again(reachable):
    job, site = planned(reachable, wind=6.0)
    assert services.standing_booking(job).risk
    keep_weather(site, in_days(5), by=reachable, wind=1.0)
    assert not services.standing_booking(job).risk
    assert services.standing_booking(job).at_risk_since is None


@pytest.mark.parametrize("change", ["cover", "driver", "instrument"])
def test_what_breaks_besides_the_weather_is_found_as_well(reachable, change):
    job, _ = planned(reachable)
    booking = services.standing_booking(job)
    assert risk.look_at() == []
    if change == "cover":
        job.covers.update(valid_to=in_days(4))
    elif change == "driver":
        type(booking.driver).objects.update(evidence_valid_to=in_days(4))
    else:
        calibrated("gps_speed")
    assert risk.look_at() == [booking]


def test_on_the_eve_the_engineer_gets_the_list_once(reachable):
    job, site = planned(reachable)
    with at_time(services.standing_booking(job).starts_at - timedelta(hours=12)):
        keep_weather(site, in_days(1), by=reachable)
        assert "Go or no-go is due" in run()
        assert "Go or no-go is due" not in run()
    (told,) = (message for message in mail.outbox if message.subject.startswith("Go or no-go"))
    for line in ("- Weather: met", "- Tyre pressures: unknown", "- Insurance cover: met"):
        assert line in told.body


class Killed(BaseException):
    """What a signal does: it is caught by nobody."""


PIECES = [
    (bookings, "clear_run_out_holds"),
    (risk, "look_at"),
    (watch, "tell_engineers"),
    (watch.outbox, "_settle"),
]


@pytest.mark.parametrize(("module", "name"), PIECES, ids=[name for _, name in PIECES])
def test_killed_anywhere_the_next_round_does_the_rest_and_nothing_twice(reachable, monkeypatch, module, name):
    """Killed as the piece begins, and killed as it ends; afterwards all is as if it had run through."""
    job, site = planned(reachable)
    held = ready_job()
    services.book(by=reachable, job=held, **wanted(), hold_h=1)
    keep_weather(site, in_days(5), by=reachable, wind=6.0)
    Booking.objects.filter(job=held).update(held_until=timezone.now() - timedelta(seconds=1))
    piece = getattr(module, name)

    def before(*args, **kwargs):
        raise Killed

    def after(*args, **kwargs):
        piece(*args, **kwargs)
        raise Killed

    for killed in (before, after):
        with monkeypatch.context() as patch, pytest.raises(Killed):
            patch.setattr(module, name, killed)
            run()
    with at_time(timezone.now() + timedelta(hours=1)):
        run()
        run()
    assert held.bookings.get().cancelled_because == bookings.RUN_OUT
    assert services.standing_booking(job).risk
    assert OutboxMessage.objects.filter(kind="at_risk").count() == 1
    assert not OutboxMessage.objects.exclude(state="sent").exists()
