"""Before the first run: exceptions where the procedure allows one, loading against its target, the booked date."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.refused import Refused
from testing.models import Booking
from testing.testday import checks, loading
from testing.testday.models import CheckException, Loading
from testing.testday.procedure import lane_change
from tests.testday_factories import NAMED, confirm_all, drive, fresh, load, on_the_day, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    return opened_day(job, site=site, driver=driver, engineer=engineer)


def accept(as_, user, day, key, reason="No tilt meter is fitted; an observer stands at section 3"):
    return as_(user).post(reverse("testing:accept_exception", args=[day.pk, key]), {"reason": reason}, follow=True)


def test_an_accepted_exception_lets_the_day_go_on(as_, engineer, driver_user, day):
    keys = [item.key for item in lane_change().checks if item.key != "tilt_meter"]
    checks.confirm(day=day, keys=keys, by=driver_user, notes=NAMED)
    load(day, by=engineer, mass="tm1")
    with pytest.raises(Refused, match="Tilt meter"):
        drive(day, by=driver_user)
    text = accept(as_, engineer, day, "tilt_meter").content.decode()
    assert "exception accepted: No tilt meter" in text
    assert drive(day, by=driver_user).counts


def test_what_the_rules_require_takes_no_exception(as_, engineer, day):
    required = [item.key for item in lane_change().checks if not item.exception]
    assert {"brakes", "ppe", "cover", "driver_fit", "course_closed", "mechanical"} <= set(required)
    for key in required:
        assert accept(as_, engineer, day, key).status_code == 404
        with pytest.raises(Refused, match="no exception"):
            checks.accept_exception(day=day, key=key, by=engineer, reason="in a hurry")
    assert not CheckException.objects.exists()


@pytest.mark.parametrize("reason", ["", " ", "x" * 301, "a\x00"])
def test_an_exception_needs_a_reason(as_, engineer, day, reason):
    assert "Not saved yet" in accept(as_, engineer, day, "tilt_meter", reason).content.decode()
    assert not CheckException.objects.exists()


def test_only_the_engineer_accepts(as_, driver_user, day):
    assert accept(as_, driver_user, day, "tilt_meter").status_code == 403


def test_a_note_goes_with_its_check(as_, driver_user, day):
    url = reverse("testing:confirm_checks", args=[day.pk])
    said = {"check": ["wheel_nuts"], "note_wheel_nuts": "131 N m, all four"}
    assert "131 N m, all four" in as_(driver_user).post(url, said, follow=True).content.decode()


def typed(day, mass="tm2", **changed):
    places = {f"place_{item.key}": f"{item.kg:.3f}" for item in loading.plan(day, mass)}
    return {**places, "front_kg": "", "rear_kg": "", "restrained": "on", "sent_as": str(uuid.uuid4()), **changed}


def record(as_, user, day, mass="tm2", **changed):
    return as_(user).post(reverse("testing:load", args=[day.pk, mass]), typed(day, mass, **changed), follow=True)


# Source: the example of WORKUP.md without its 12 kg of instruments: 2,281.5 and 2,609.5 kg; ballast 260 and 68 kg.
def test_the_plan_is_a_picture_by_place(as_, driver_user, day):
    text = as_(driver_user).get(reverse("testing:load", args=[day.pk, "tm2"])).content.decode()
    assert "Seats: 260.0 kg" in text and "Luggage area: 68.0 kg" in text and "Target 2,609.5 kg" in text


def test_what_is_planned_comes_to_the_target(as_, driver_user, day):
    record(as_, driver_user, day)
    kept = Loading.objects.get()
    assert (kept.met, kept.basis) == (True, "computed")
    assert kept.total_kg == pytest.approx(2609.54, abs=0.01)


# 1 % of 2,609.54 kg is 26.0954 kg, and that far above only; below it stand two axle readings of 2 kg each.
@pytest.mark.parametrize(
    "front, rear, met", [("1305.6", "1300", True), ("1305.5", "1300", False), ("1283.5", "1300", False),
                         ("1300", "1335.6", True), ("1300", "1335.7", False)]
)  # fmt: skip
def test_weighed_mass_against_the_tolerance(as_, driver_user, day, front, rear, met):
    record(as_, driver_user, day, front_kg=front, rear_kg=rear)
    kept = Loading.objects.get()
    assert (kept.met, kept.basis) == (met, "weighed")
    assert bool(loading.missing(fresh(day), mass="tm2")) is not met


def test_the_sheet_says_what_a_loading_may_be_off_and_from_where(as_, driver_user, day):
    page = as_(driver_user).get(reverse("testing:load", args=[day.pk, "tm2"])).content.decode()
    assert "Passes from 2,605.5 to 2,635.6 kg" in page
    assert "Below the target only 4 kg, above it at most 1 %, never above the GVM." in page
    assert page.count("No published tolerance was found") == 2


def test_a_missing_bag_is_noticed(as_, driver_user, day):
    text = record(as_, driver_user, day, place_seats="200").content.decode()
    assert "This is not the test mass: 2,549.5 kg is not within 2,605.5 to 2,635.6 kg" in text
    assert not Loading.objects.get().met


def test_an_axle_above_its_rating_stops_the_runs(as_, driver_user, day):
    text = record(as_, driver_user, day, front_kg="1481", rear_kg="1130").content.decode()
    assert "the front axle carries 1,481.0 kg, above its rating of 1,480 kg" in text


def overloaded(day):
    """The work-up computes 1,456.9 kg on a rear axle that may carry 1,150 kg at Test Mass 2."""
    day.work_up["masses"]["axles"] = {"front": {"tm2_kg": None}, "rear": {"tm2_kg": 1456.9}}
    day.inputs["vehicle"] |= {"front_axle_rating_kg": 1480.0, "rear_axle_rating_kg": 1150.0}
    return {item.key: item.kg for item in loading.plan(day, "tm2")}


def test_an_axle_that_is_computed_above_its_rating_waits_for_the_scales(day):
    said = {"mass": "tm2", "places": overloaded(day), "restrained": True}
    (reason,) = loading.judge(day, front_kg=None, rear_kg=None, **said).reasons
    assert reason == "the rear axle carries 1,456.9 kg as computed, above its rating of 1,150 kg; weigh both axles"
    assert not loading.judge(day, front_kg=1470.0, rear_kg=1139.5, **said).reasons
    assert "computed" not in "".join(loading.judge(day, front_kg=1479.0, rear_kg=1151.0, **said).reasons)


def test_an_axle_without_a_rating_is_told(as_, driver_user, job, site, driver, engineer):
    job.vehicle.rear_axle_rating_kg = None
    job.vehicle.save()
    bare = opened_day(job, site=site, driver=driver, engineer=engineer)
    text = as_(driver_user).get(reverse("testing:load", args=[bare.pk, "tm1"])).content.decode()
    assert "No rating is on file for the rear axle" in text
    assert loading.unrated(bare) == ["rear"]


def test_without_restraint_nothing_is_driven(as_, driver_user, engineer, day):
    confirm_all(day, by=engineer)
    record(as_, driver_user, day, restrained="")
    with pytest.raises(Refused, match="restraint is not confirmed"):
        from tests.testday_factories import record_run

        record_run(
            day=fresh(day), by=driver_user, sent_as=uuid.uuid4(), mass="tm2", aimed_kmh=80, wind_mps=1, surface="dry",
            measured_kmh=80, outcome="clean", cones_moved=0,
        )  # fmt: skip


def test_loaded_for_one_mass_is_not_loaded_for_the_other(driver_user, engineer, day):
    confirm_all(day, by=engineer)
    load(day, by=engineer, mass="tm2")
    assert "loaded to Test Mass 2: load it to Test Mass 1" in loading.missing(fresh(day), mass="tm1")


def test_nothing_above_the_gvm(day):
    day.work_up["masses"]["gvm_kg"] = 2610.0
    verdict = loading.judge(day, mass="tm2", places={}, front_kg=1300.0, rear_kg=1310.5, restrained=True)
    assert "is not within 2,605.5 to 2,610.0 kg" in verdict.reasons[0]


@pytest.mark.parametrize(
    "field, value, words",
    [("place_seats", "lots", "Seats"), ("place_seats", "", "Seats"), ("front_kg", "1200", "Weigh both axles"),
     ("front_kg", "NaN", "Front axle"), ("rear_kg", "9" * 400, "Rear axle"), ("sent_as", "x", "Reload")],
)  # fmt: skip
def test_bad_input_of_a_loading_is_named(as_, driver_user, day, field, value, words):
    response = record(as_, driver_user, day, **{field: value})
    assert response.status_code == 200 and words in response.content.decode() and not Loading.objects.exists()


def test_no_such_mass(as_, driver_user, day):
    assert as_(driver_user).get(reverse("testing:load", args=[day.pk, "tm3"])).status_code == 404


@pytest.mark.parametrize("days", [-1, 1])
def test_runs_are_driven_on_the_booked_date_of_the_site_only(driver_user, engineer, day, days):
    confirm_all(day, by=engineer)
    booking = day.booking
    shift = timedelta(days=days)
    Booking.objects.filter(pk=booking.pk).update(starts_at=booking.starts_at + shift, ends_at=booking.ends_at + shift)
    moved = fresh(day)
    with pytest.raises(Refused, match="move the booking"):
        drive(moved, by=driver_user)
    with on_the_day(moved):
        assert drive(moved, by=driver_user).counts


def test_cover_below_the_market_value_stops_the_day(driver_user, engineer, day):
    confirm_all(day, by=engineer)
    value = day.booking.job.vehicle.market_value_aud
    day.booking.job.covers.update(sum_aud=value - 1)
    with pytest.raises(Refused, match="No cover is valid today for the market value"):
        drive(fresh(day), by=driver_user)
    day.booking.job.covers.update(sum_aud=value)
    assert drive(fresh(day), by=driver_user).counts


def test_no_cover_holds_for_a_value_that_is_not_known(driver_user, engineer, day):
    confirm_all(day, by=engineer)
    job = day.booking.job
    type(job.vehicle).objects.filter(pk=job.vehicle.pk).update(market_value_aud=None)
    job.covers.update(sum_aud=1)
    with pytest.raises(Refused, match="The market value is not known: enter it"):
        drive(fresh(day), by=driver_user)


def test_cover_taken_back_stops_the_day(driver_user, engineer, day):
    confirm_all(day, by=engineer)
    day.booking.job.covers.all().delete()
    with pytest.raises(Refused, match="No cover is valid today"):
        drive(fresh(day), by=driver_user)
