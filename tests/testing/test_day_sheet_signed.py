"""The driver's report in the words of SAE J1441, and the signatory's word under it."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.refused import Refused
from jobs.workshop import signatories
from testing.testday import rating, settling, signing
from testing.testday.models import Countersignature, DriverStatement
from testing.testday.recording import record_run
from testing.testday.result import result
from tests.factories import UserFactory
from tests.testday_factories import climb, confirm_all, fresh, opened_day, ratings

pytestmark = pytest.mark.django_db


@pytest.fixture
def clean(job, site, driver, engineer, driver_user):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    for mass in ("tm1", "tm2"):
        climb(day, by=driver_user, mass=mass)
    return day


def sign(day, user, safe=True, given=None):
    name = day.booking.driver.name
    given = ratings() if given is None else given
    return signing.sign_statement(day=day, by=user, safe=safe, remark="said", signed_name=name, ratings=given)


def countersign(as_, user, day, **changed):
    said = {"safe": "yes", "remark": "", "signed_name": user.full_name, "strokes": "", **changed}
    return as_(user).post(reverse("testing:countersign", args=[day.pk]), said, follow=True)


# Source: SAE J1441 as quoted: 10-9 excellent, 8-7 good, 6 fair, 5 borderline, 4-3 poor, 2 very poor, 1 not acceptable.
def test_the_words_of_the_scale():
    words = [rating.word(value) for value in range(10, 0, -1)]
    assert words == ["excellent"] * 2 + ["good"] * 2 + ["fair", "borderline"] + ["poor"] * 2 + [
        "very poor",
        "not acceptable",
    ]


def test_both_words_make_a_pass(as_, clean, driver_user, engineer, job):
    sign(clean, driver_user)
    assert not result(job).passed
    text = countersign(as_, engineer, clean, strokes="[[[1,2],[30.5,40]]]").content.decode()
    assert result(job).passed
    assert "SIG-0042" in text and "M1 2 L30.5 40" in text and "8, good" in text


def test_a_signatory_who_does_not_agree_fails_the_vehicle(as_, clean, driver_user, engineer, job):
    sign(clean, driver_user)
    countersign(as_, engineer, clean, safe="no", remark="Ratings do not fit the log")
    assert "who countersigned, does not call the vehicle safe" in " ".join(result(job).reasons)


def test_nobody_overrules_a_driver_who_is_not_satisfied(as_, clean, driver_user, engineer, job):
    sign(clean, driver_user, safe=False)
    assert "cannot overrule" in countersign(as_, engineer, clean).content.decode()
    assert not Countersignature.objects.exists() and not result(job).passed


@pytest.mark.parametrize(("jurisdiction", "number"), [("NSW", "NSW-77"), ("VIC", None)])
def test_the_number_is_that_of_the_place_and_the_day(
    as_, clean, driver_user, engineer, admin_user, jurisdiction, number
):
    sign(clean, driver_user)
    day = clean.booking.day
    term = {"valid_from": day - timedelta(days=9), "valid_to": day + timedelta(days=9)}
    signatories.add(by=admin_user, user=engineer, jurisdiction=jurisdiction, number="NSW-77", **term)
    text = countersign(as_, engineer, clean).content.decode()
    signed = Countersignature.objects.first()
    assert (signed and signed.authority_number) == number
    assert number or "has no authority number as a signatory in NSW on" in text


def test_not_before_the_driver_and_only_once(as_, clean, driver_user, engineer):
    assert "comes first" in countersign(as_, engineer, clean).content.decode()
    sign(clean, driver_user)
    countersign(as_, engineer, clean)
    assert "countersigned already" in countersign(as_, engineer, clean, safe="no", remark="x").content.decode()
    assert Countersignature.objects.get().safe


def test_only_a_signatory_with_a_number(as_, clean, driver_user):
    other = UserFactory(roles=["engineer"])
    sign(clean, driver_user)
    assert "no authority number" in countersign(as_, other, clean).content.decode()


@pytest.mark.parametrize(
    "given, words",
    [({}, "rate from 10 to 1"), (ratings(1), "not acceptable"), (ratings(4), "say in the remark why 4, “poor”")],
)
def test_safe_rests_on_the_ratings(clean, driver_user, given, words):
    with pytest.raises(Refused, match=words):
        sign(clean, driver_user, given=given)
    assert not DriverStatement.objects.exists()


def test_poor_with_a_reason_is_the_drivers_to_say(clean, driver_user):
    assert sign(clean, driver_user, given=ratings(4, remark="Slow steering, predictable")).safe


@pytest.mark.parametrize(
    "strokes", ["{", "[[1]]", "[[[1]]]", '[[["a", 2]]]', "[[[1e999, 2]]]", "[[[-5, 2]]]", "[" * 3000, "7", "x" * 70_000]
)
def test_a_drawing_that_is_none_is_refused(as_, clean, driver_user, engineer, strokes):
    sign(clean, driver_user)
    response = countersign(as_, engineer, clean, strokes=strokes)
    assert response.status_code == 200 and not Countersignature.objects.exists()


@pytest.mark.parametrize("field, value", [("signed_name", "Somebody"), ("signed_name", ""), ("safe", "maybe")])
def test_bad_input_is_named(as_, clean, driver_user, engineer, field, value):
    sign(clean, driver_user)
    assert "Not saved yet" in countersign(as_, engineer, clean, **{field: value}).content.decode()
    assert not Countersignature.objects.exists()


def test_a_driver_signs_nothing_for_the_signatory(as_, clean, driver_user):
    sign(clean, driver_user)
    assert countersign(as_, driver_user, fresh(clean)).status_code == 403


def test_a_signatory_settles_what_is_open_before_calling_the_vehicle_safe(as_, clean, driver_user, engineer, job):
    sign(clean, driver_user)
    late = timezone.now() - timedelta(minutes=9)
    seen = {"wind_mps": 1, "surface": "dry", "measured_kmh": 80.2, "outcome": "clean", "cones_moved": 0}
    record_run(day=fresh(clean), by=driver_user, sent_as=uuid.uuid4(), mass="tm1", aimed_kmh=80, driven_at=late, **seen)
    (item,) = settling.open_items(fresh(clean))
    text = countersign(as_, engineer, clean).content.decode()
    assert "Settle first: Run" in text and not Countersignature.objects.exists()
    settling.settle(day=fresh(clean), by=engineer, about="late", key=item.key, ruling="seen", reason="known")
    countersign(as_, engineer, clean)
    assert Countersignature.objects.get().safe
