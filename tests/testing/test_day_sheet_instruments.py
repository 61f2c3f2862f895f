"""What the day is measured with is in date, and is named; a no-go stands."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from jobs.refused import Refused
from testing.models import GoDecision, Instrument
from testing.testday import checks, instruments, readiness
from testing.testday.opening import open_day
from tests.testday_factories import NAMED, book, confirm_all, drive, fresh, opened_day, ready_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    return opened_day(job, site=site, driver=driver, engineer=engineer)


@pytest.fixture
def gps(day):
    held = {"certificate": "CAL-118", "valid_to": day.booking.day + timedelta(days=30)}
    instrument = Instrument.objects.create(kind="gps_speed", name="Roof receiver", serial="R-7", **held)
    day.booking.instruments.add(instrument)
    return instrument


def tick(as_, user, day, *keys, **notes):
    said = {"check": keys, **{f"note_{key}": note for key, note in notes.items()}}
    return as_(user).post(reverse("testing:confirm_checks", args=[day.pk]), said, follow=True).content.decode()


def sheet(as_, user, day):
    return as_(user).get(reverse("testing:day_sheet", args=[day.pk])).content.decode()


def test_the_booked_instrument_stands_beside_its_check(as_, driver_user, day, gps):
    assert f"Roof receiver, R-7, calibrated until {date_format(gps.valid_to)}" in sheet(as_, driver_user, day)
    tick(as_, driver_user, day, "gps_speed")
    assert day.checks.get().key == "gps_speed"


def test_an_instrument_that_is_not_booked_is_named_and_the_other_ticks_stay(as_, driver_user, day, gps):
    text = tick(as_, driver_user, day, "brakes", "anemometer", "gps_speed", anemometer="  ")
    assert "None is booked for “Anemometer works and is in calibration”" in text and instruments.ASKS.lower() in text
    assert set(day.checks.values_list("key", flat=True)) == {"brakes", "gps_speed"}
    tick(as_, driver_user, day, "anemometer", anemometer="Vane no. 3, until 30/06/2027")
    assert "Vane no. 3, until 30/06/2027" in sheet(as_, driver_user, day)


def test_a_tilt_meter_that_is_not_there_is_an_exception_not_a_name(day, engineer):
    checks.accept_exception(day=day, key="tilt_meter", by=engineer, reason="None fitted; observer at section 3")
    assert "tilt_meter" not in [item.key for item in checks.missing(day, mass="tm1")]


@pytest.mark.parametrize(
    "change, words",
    [
        ({"valid_to": None}, "has no calibration certificate"),
        ({"in_service": False}, "is out of service"),
        ({"certificate": ""}, "has no calibration certificate"),
    ],
)
def test_a_booked_instrument_out_of_date_stops_the_day_whatever_is_ticked(
    as_, driver_user, engineer, day, gps, change, words
):
    confirm_all(day, by=engineer)
    assert drive(day, by=driver_user).counts
    Instrument.objects.filter(pk=gps.pk).update(**change)
    assert words in sheet(as_, driver_user, fresh(day))
    with pytest.raises(Refused, match=words):
        drive(fresh(day), by=driver_user, aimed=90)


def test_calibration_that_ended_yesterday_has_ended(day, gps):
    gps.valid_to = day.booking.day
    gps.save()
    assert not instruments.objections(fresh(day))
    gps.valid_to -= timedelta(days=1)
    gps.save()
    assert "holds until" in instruments.objections(fresh(day))[0]


def decide(booking, word, by):
    return GoDecision.objects.create(
        booking=booking, decision=word, occasion="on the morning", conditions=[], reason="Fog on the track", by=by
    )


def test_a_no_go_stops_a_day_that_is_open(as_, engineer, driver_user, day):
    assert "Nobody has recorded a go" in sheet(as_, engineer, day)
    confirm_all(day, by=engineer)
    decide(day.booking, "no_go", engineer)
    assert [item.text for item in readiness.go_and_gear(fresh(day))] == [
        f"No-go by {engineer.full_name}: Fog on the track"
    ]
    with pytest.raises(Refused, match="Fog on the track"):
        drive(fresh(day), by=driver_user)
    decide(day.booking, "go", engineer)
    assert drive(fresh(day), by=driver_user).counts
    assert "Go</span> by" in sheet(as_, driver_user, fresh(day))


def test_a_run_that_was_driven_before_the_no_go_arrives_later_and_counts(engineer, driver_user, day):
    confirm_all(day, by=engineer)
    before = timezone.now()
    decide(day.booking, "no_go", engineer)
    assert drive(fresh(day), by=driver_user, driven_at=before).counts
    late = drive(fresh(day), by=driver_user, aimed=90, driven_at=timezone.now())
    assert not late.counts and "No-go by" in late.not_counting_because


def test_no_day_is_opened_on_a_no_go(job, site, driver, engineer):
    ready_job(job, engineer=engineer)
    decide(book(job, site=site, driver=driver, engineer=engineer), "no_go", engineer)
    with pytest.raises(Refused, match="No-go was decided for this booking: Fog on the track"):
        open_day(job=job, by=engineer)


def test_every_instrument_of_the_list_asks_for_its_name():
    assert set(NAMED) == {"gps_speed", "anemometer", "tilt_meter"}
