"""The engineer's decision after failures in a row stopped the climb."""

import uuid

import pytest
from django.db import DatabaseError, connection, transaction
from django.urls import reverse

from jobs.append_only import Immutable
from testing.models import Release
from testing.testday.ladder import progress_of
from testing.testday.recording import call_stop
from tests.testday_factories import confirm_all, drive, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    return day


def fail(day, by, mass="tm1", times=3):
    for _ in range(times):
        drive(day, by=by, mass=mass, outcome="cones", cones_moved=1)


def decide(as_, user, day, mass="tm1", reason="Front pressures were 30 kPa low; set and rechecked"):
    return as_(user).post(reverse("testing:go_on", args=[day.pk, mass]), {"reason": reason}, follow=True)


def test_the_climb_goes_on_at_the_same_speed(as_, engineer, driver_user, day):
    fail(day, driver_user)
    text = decide(as_, engineer, day).content.decode()
    assert "30 kPa low" in text
    step = progress_of(day)[0]
    assert step.next_kmh == 80 and not step.stopped
    assert day.booking.job.audit_entries.first().details["reason"].startswith("Front pressures")


def test_before_anybody_drives_again_the_page_says_what_has_to_be_so(as_, engineer, driver_user, day):
    fail(day, driver_user)
    page = as_(engineer).get(reverse("testing:go_on", args=[day.pk, "tm1"])).content.decode()
    assert "Before anybody drives again" in page and "helmet, gloves and belt" in page


def test_three_more_failures_stop_it_again(as_, engineer, driver_user, day):
    fail(day, driver_user)
    decide(as_, engineer, day)
    fail(day, driver_user)
    assert progress_of(day)[0].stopped


def test_a_release_at_one_mass_is_none_at_the_other(as_, engineer, driver_user, day):
    fail(day, driver_user, "tm1")
    fail(day, driver_user, "tm2")
    decide(as_, engineer, day, "tm1")
    assert [step.stopped for step in progress_of(day)] == [False, True]


def test_nothing_to_release_while_the_climb_goes(as_, engineer, driver_user, day):
    fail(day, driver_user, times=2)
    assert "nothing to release" in decide(as_, engineer, day).content.decode()
    assert not Release.objects.exists()


@pytest.mark.parametrize("reason", ["", "x" * 301, "\x00"])
def test_a_reason_is_asked_for(as_, engineer, driver_user, day, reason):
    fail(day, driver_user)
    assert "Not saved yet" in decide(as_, engineer, day, reason=reason).content.decode()
    assert not Release.objects.exists()


def test_no_such_mass(as_, engineer, day):
    assert decide(as_, engineer, day, "tm9").status_code == 404


def test_not_the_driver(as_, driver_user, day):
    fail(day, driver_user)
    assert decide(as_, driver_user, day).status_code == 403


def test_a_decision_is_written_once(as_, engineer, driver_user, day):
    fail(day, driver_user)
    decide(as_, engineer, day)
    with pytest.raises(Immutable):
        Release.objects.get().save()
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE testing_release SET reason = 'other'")


def test_what_came_in_since_the_page_was_opened_is_read_first(as_, engineer, driver_user, day):
    fail(day, driver_user)
    url = reverse("testing:go_on", args=[day.pk, "tm1"])

    def shown(response):
        return response.context["form"]["shown"].value()

    opened = as_(engineer).get(url)
    call_stop(day=day, by=driver_user, reason="Steering feels loose", sent_as=uuid.uuid4())
    answer = as_(engineer).post(url, {"reason": "pressures set", "shown": shown(opened)})
    text = answer.content.decode()
    assert "Something came in since" in text and "Steering feels loose" in text and "pressures set" in text
    assert all(step.stopped for step in progress_of(day)) and not Release.objects.exists()
    assert shown(answer) != shown(opened)
    # A page that is opened again after that starts from what holds now, with the words that were typed.
    again = as_(engineer).get(url)
    assert shown(again) == shown(answer) and "pressures set" in again.content.decode()
    as_(engineer).post(url, {"reason": "Tie rod tightened", "shown": shown(again)})
    assert not progress_of(day)[0].stopped
