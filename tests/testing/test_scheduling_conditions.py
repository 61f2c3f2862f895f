"""What must hold for the test to happen, condition by condition."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from testing.models import Booking
from testing.scheduling import services
from testing.scheduling.conditions import conditions
from tests.factories import CoverFactory, CrewMemberFactory, JobFactory, ModificationFactory, VehicleFactory
from tests.scheduling_factories import in_days, keep_weather, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db
DAY = 20


def verdicts(job):
    return {condition.title: condition.verdict for condition in conditions(job)}


def text_of(job, title):
    return next(condition.text for condition in conditions(job) if condition.title == title)


@pytest.fixture
def planned(engineer):
    """`planned()` books a job on a calm, dry day; what the test changes is given."""

    def plan(*, job=None, weather=None, **takes):
        job = job or ready_job()
        takes = wanted(day=in_days(DAY), **takes)
        services.book(by=engineer, job=job, **takes)
        if weather is not None:
            keep_weather(takes["site"], in_days(DAY), by=engineer, **weather)
        return job

    return plan


def test_all_met(planned):
    assert verdicts(planned(weather={})) == {
        "Booking": "met",
        "Site": "met",
        "Driver": "met",
        "Driver's mass": "met",
        "Insurance cover": "met",
        "Weather": "met",
    }


def test_nothing_is_booked():
    job = JobFactory(stage="scheduling")
    assert verdicts(job) == {"Booking": "not_met", "Insurance cover": "not_met"}
    CoverFactory(job=job)
    assert verdicts(job)["Insurance cover"] == "unknown"


def test_a_booking_that_is_over(planned):
    job = planned()
    start = timezone.now() - timedelta(days=2)
    Booking.objects.update(starts_at=start, ends_at=start + timedelta(hours=4))
    assert verdicts(job)["Booking"] == "not_met"
    job.stage = "testday"
    job.save()
    assert verdicts(job)["Booking"] == "met"


@pytest.mark.parametrize(
    ("wind", "verdict"), [(0.0, "met"), (3.0, "met"), (3.1, "not_met"), (3.000001, "not_met"), (None, "unknown")]
)
def test_wind_is_met_up_to_and_with_the_limit(planned, wind, verdict):
    """Common practice, no published source: at most 3 m/s."""
    assert verdicts(planned(weather={"wind": wind}))["Weather"] == verdict


@pytest.mark.parametrize("hour", ["h06", "h07", "h08", "h09"])
def test_every_hour_of_the_booking_counts(planned, hour):
    job = planned(weather={hour: {"wind_mps": 3.5}})
    assert verdicts(job)["Weather"] == "not_met"
    assert f"{hour[1:]}:00 wind 3.5 m/s is over 3 m/s" in text_of(job, "Weather")


@pytest.mark.parametrize("hour", ["h05", "h10", "h11"])
def test_hours_beside_the_booking_do_not(planned, hour):
    assert verdicts(planned(weather={hour: {"wind_mps": 9.0}}))["Weather"] == "met"


def test_half_hours_touch_the_whole_hour(planned):
    job = planned(clock="06:30", hours=1, weather={"h07": {"wind_mps": 4}})
    assert verdicts(job)["Weather"] == "not_met"
    job = planned(clock="06:30", hours=1, weather={"h08": {"wind_mps": 4}})
    assert verdicts(job)["Weather"] == "met"


@pytest.mark.parametrize(("hour", "verdict"), [("h06", "not_met"), ("h03", "not_met"), ("h02", "met"), ("h10", "met")])
def test_rain_wets_the_surface_for_three_hours(planned, hour, verdict):
    """The drying time is our assumption (see the calculation module)."""
    assert verdicts(planned(weather={hour: {"rain_mm": 0.2}}))["Weather"] == verdict


def test_missing_hours_are_unknown_and_named(planned):
    job = planned(weather={"first": "03:00", "hours": 5})
    assert verdicts(job)["Weather"] == "unknown"
    assert "08:00, 09:00 no forecast for this hour" in text_of(job, "Weather")
    assert "Enter wind and rain for every hour" in text_of(job, "Weather")


def test_an_hour_over_the_limit_outweighs_a_missing_one(planned):
    assert verdicts(planned(weather={"hours": 8, "h07": {"wind_mps": 4}}))["Weather"] == "not_met"


def test_without_any_forecast(planned):
    job = planned()
    assert verdicts(job)["Weather"] == "unknown"


@pytest.mark.parametrize("weather", [{}, {"wind": 5}, None])
def test_the_anemometer_decides_whatever_the_forecast_says(planned, weather):
    assert "The anemometer on the day decides." in text_of(planned(weather=weather), "Weather")


def test_the_forecast_of_another_site_says_nothing(planned, engineer):
    job = planned()
    keep_weather(level_site(), in_days(DAY), by=engineer)
    assert verdicts(job)["Weather"] == "unknown"


def test_a_driver_whose_evidence_was_withdrawn_after_booking(planned):
    driver = CrewMemberFactory()
    job = planned(driver=driver)
    driver.evidence_valid_to = in_days(DAY - 1)
    driver.save()
    assert verdicts(job)["Driver"] == "not_met"


def test_a_driver_who_turns_out_to_be_the_owner(planned):
    driver = CrewMemberFactory()
    job = planned(driver=driver)
    job.owner.name = driver.name.upper()
    job.owner.save()
    assert verdicts(job)["Driver"] == "not_met"


def test_a_driver_who_was_never_weighed(planned):
    job = planned(driver=CrewMemberFactory(mass_kg=None))
    assert verdicts(job)["Driver's mass"] == "unknown"


def cover(job, **facts):
    job.covers.all().delete()
    return CoverFactory(job=job, **facts)


@pytest.mark.parametrize(
    ("facts", "verdict"),
    [
        ({"sum_aud": Decimal("38000.00")}, "met"),
        ({"sum_aud": Decimal("37999.99")}, "not_met"),
        ({"valid_from": in_days(DAY), "valid_to": in_days(DAY)}, "met"),
        ({"valid_from": in_days(DAY + 1), "valid_to": in_days(DAY + 9)}, "not_met"),
        ({"valid_from": in_days(1), "valid_to": in_days(DAY - 1)}, "not_met"),
    ],
)
def test_the_cover_on_the_day_for_the_market_value(planned, facts, verdict):
    job = planned()
    cover(job, **facts)
    assert verdicts(job)["Insurance cover"] == verdict


def test_two_half_covers_are_none(planned):
    job = planned()
    cover(job, sum_aud=20_000)
    CoverFactory(job=job, sum_aud=20_000)
    assert verdicts(job)["Insurance cover"] == "not_met"


def test_the_day_of_the_cover_is_the_sites_day(planned):
    """06:00 in Sydney is the evening before in UTC; the cover begins on the site's day."""
    job = planned()
    cover(job, valid_from=in_days(DAY), valid_to=in_days(DAY))
    assert verdicts(job)["Insurance cover"] == "met"


def test_an_unknown_market_value_is_unknown(planned):
    job = planned(job=ready_job(vehicle=VehicleFactory(market_value_aud=None)))
    condition = next(each for each in conditions(job) if each.title == "Insurance cover")
    assert (condition.verdict, condition.url) == ("unknown", f"/jobs/{job.number}/vehicle/")


def test_a_site_whose_level_nobody_recorded(planned, site):
    assert verdicts(planned(site=site))["Site"] == "unknown"


def test_a_site_that_shortened_its_hours(planned):
    site = level_site()
    job = planned(site=site)
    site.opens = site.opens.replace(hour=7)
    site.save()
    assert verdicts(job)["Site"] == "not_met"


def test_a_vehicle_of_unknown_width_or_category(planned):
    for facts in ({"overall_width_mm": None}, {"adr_category": ""}):
        assert verdicts(planned(job=ready_job(vehicle=VehicleFactory(**facts))))["Site"] == "unknown"


def test_records_that_contradict_each_other_are_said_and_no_error(planned):
    job = planned()
    ModificationFactory(vehicle=job.vehicle, kind="tyre_change", values={"to": "not a tyre"})
    assert verdicts(job)["Site"] == "unknown"
    assert "contradict" in text_of(job, "Site")
