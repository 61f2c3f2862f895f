"""Checks before driving: each confirmed by a person, with the time."""

import pytest
from django.urls import reverse

from jobs.refused import Refused
from testing.testday.checks import missing
from testing.testday.procedure import lane_change
from tests.testday_factories import NAMED, drive, fresh, opened_day

pytestmark = pytest.mark.django_db
FIRST = [item.key for item in lane_change().checks if item.before in ("first_run", "tm1")]


@pytest.fixture
def day(job, site, driver, engineer):
    return opened_day(job, site=site, driver=driver, engineer=engineer)


def tick(as_, user, day, *keys):
    notes = {f"note_{key}": note for key, note in NAMED.items()}
    return as_(user).post(reverse("testing:confirm_checks", args=[day.pk]), {"check": keys, **notes}, follow=True)


def test_all_at_once(as_, driver_user, day):
    tick(as_, driver_user, day, *FIRST)
    assert not missing(day, mass="tm1")
    assert {check.by for check in day.checks.all()} == {driver_user}
    assert [item.key for item in missing(day, mass="tm2")] == ["ballast_tm2"]


def test_one_by_one_by_two_people(as_, driver_user, engineer, day):
    tick(as_, driver_user, day, "brakes")
    tick(as_, engineer, day, "brakes", "cones")
    assert {check.key: check.by for check in day.checks.all()} == {"brakes": driver_user, "cones": engineer}


def test_what_the_brief_of_the_day_names_is_on_the_list():
    text = " ".join(item.text for item in lane_change().checks).lower()
    for word in (
        "mechanical", "compliance", "pressures", "placard", "brakes", "handbrake", "loose items", "roof", "wheel nuts",
        "course closed", "level", "dry", "loose material", "cones", "gps speed", "anemometer", "tilt meter",
        "calibration", "helmet", "gloves", "test mass 1", "secured", "weighed", "cover", "fit",
    ):  # fmt: skip
        assert word in text, word


def test_no_run_before_all_are_confirmed(day, driver_user, as_):
    tick(as_, driver_user, day, *FIRST[:-1])
    with pytest.raises(Refused, match="Confirm first"):
        drive(day, by=driver_user)
    tick(as_, driver_user, day, FIRST[-1])
    assert drive(day, by=driver_user).counts


def test_no_run_at_test_mass_2_before_its_own_check(day, driver_user, as_):
    tick(as_, driver_user, day, *FIRST)
    with pytest.raises(Refused, match="Ballast for Test Mass 2"):
        drive(day, by=driver_user, mass="tm2")
    tick(as_, driver_user, day, "ballast_tm2")
    assert drive(day, by=driver_user, mass="tm2").counts


def test_ticking_nothing_says_so(as_, driver_user, day):
    assert "Nothing was ticked" in tick(as_, driver_user, day).content.decode()


@pytest.mark.parametrize("key", ["nonsense", "x" * 5000, "brakes\x00", "<b>"])
def test_an_unknown_check_is_refused(as_, driver_user, day, key):
    response = tick(as_, driver_user, day, "brakes", key)
    assert response.status_code == 200
    assert "is not a check of this sheet" in response.content.decode()
    assert not day.checks.exists()


def test_not_on_a_day_that_was_called_off(as_, driver_user, day):
    day.booking.cancelled_at = day.booking.starts_at
    day.booking.save()
    tick(as_, driver_user, day, "brakes")
    assert not fresh(day).checks.exists()


def test_only_the_crew_of_the_day(as_, other_driver_user, auditor, day):
    assert tick(as_, other_driver_user, day, "brakes").status_code == 404
    assert tick(as_, auditor, day, "brakes").status_code == 403
