"""Booking a day, moving it, and everything that refuses it."""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.refused import Refused
from testing.models import BookedSlot, Booking
from testing.scheduling import services
from tests.factories import CrewMemberFactory, JobFactory, OwnerFactory, UserFactory, VehicleFactory
from tests.scheduling_factories import at, in_days, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db


def page(job):
    return reverse("testing:schedule", args=[job.number])


def form(site, driver, **changed):
    day = in_days(20)
    values = {"site": site.pk, "day": day.isoformat(), "start": "06:00", "hours": "4", "driver": driver.pk}
    return {**values, **changed}


def refusal(job, engineer, **changed):
    with pytest.raises(Refused) as refused:
        services.book(by=engineer, job=job, **wanted(**changed))
    return str(refused.value)


def test_a_day_is_booked_in_the_sites_own_zone(as_, engineer, driver):
    job, site = ready_job(), level_site(time_zone="Australia/Brisbane")
    response = as_(engineer).post(page(job), form(site, driver))
    assert response.status_code == 302
    booking = services.standing_booking(job)
    assert booking.starts_at == datetime.combine(in_days(20), time(6), tzinfo=ZoneInfo("Australia/Brisbane"))
    assert booking.ends_at - booking.starts_at == timedelta(hours=4)
    assert booking.when.endswith("06:00 to 10:00 AEST")
    assert booking.booked_by == engineer
    assert "Booked" in job.audit_entries.first().what


def test_what_was_typed_stays_when_it_is_refused(as_, engineer, driver):
    job, site = ready_job(), level_site()
    response = as_(engineer).post(page(job), form(site, driver, start="03:00"))
    assert response.status_code == 200
    assert "is not within the hours" in response.content.decode()
    assert not Booking.objects.exists()
    assert 'value="03:00"' in as_(engineer).get(page(job)).content.decode()


@pytest.mark.parametrize("field", ["site", "day", "start", "hours", "driver"])
@pytest.mark.parametrize("value", ["", "nonsense", "-1", "99999999999999999999999", "nan", "a\x00b", "x" * 5000])
def test_bad_input_is_answered_at_the_field(as_, engineer, driver, field, value):
    job = ready_job()
    response = as_(engineer).post(page(job), {**form(level_site(), driver), field: value})
    assert response.status_code == 200
    assert response.context["form"].errors.keys() == {field}
    assert not Booking.objects.exists()


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31", "1900-06-01"])
def test_a_year_that_cannot_be_meant(as_, engineer, driver, day):
    response = as_(engineer).post(page(ready_job()), form(level_site(), driver, day=day))
    assert "The year" in response.context["form"].errors["day"][0]


def _next_change_of_clocks(zone):
    """The next day on which the clocks of the zone go forward."""
    day = timezone.localdate() + timedelta(days=2)
    while True:
        midnight, noon = (datetime.combine(day, time(hour), tzinfo=zone) for hour in (0, 12))
        if noon.utcoffset() > midnight.utcoffset():
            return day
        day += timedelta(days=1)


def test_a_start_that_the_clock_jumps_over_is_refused_at_the_field(as_, engineer, driver):
    site = level_site(opens=time(0))
    day = _next_change_of_clocks(site.zone)
    response = as_(engineer).post(page(ready_job()), form(site, driver, day=day.isoformat(), start="02:30"))
    assert "does not exist in Australia/Sydney" in response.context["form"].errors["start"][0]


def test_four_hours_over_the_change_of_clocks_are_four_real_hours(engineer):
    site, job = level_site(opens=time(0)), ready_job()
    day = _next_change_of_clocks(site.zone)
    services.book(by=engineer, job=job, **wanted(site=site, day=day, clock="01:00"))
    booking = services.standing_booking(job)
    assert f"{booking.local_end:%H:%M}" == "06:00"
    assert booking.ends_at - booking.starts_at == timedelta(hours=4)


def test_the_evidence_has_to_hold_on_the_day(engineer):
    on_the_day = CrewMemberFactory(evidence_valid_to=in_days(20))
    the_day_before = CrewMemberFactory(evidence_valid_to=in_days(19))
    assert "holds until" in refusal(ready_job(), engineer, driver=the_day_before)
    services.book(by=engineer, job=ready_job(), **wanted(driver=on_the_day))


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"drives": False}, "not listed"),
        ({"skill_evidence": ""}, "No evidence of skill"),
        ({"evidence_valid_to": None}, "not recorded until when"),
    ],
)
def test_who_may_not_drive(engineer, facts, why):
    assert why in refusal(ready_job(), engineer, driver=CrewMemberFactory(**facts))


def _owner_by_account():
    user = UserFactory(username="both")
    return OwnerFactory(user=user), CrewMemberFactory(user=user)


def _owner_by_name():
    return OwnerFactory(name="Robin  Wheeler"), CrewMemberFactory(name="robin wheeler ")


def _owner_by_email():
    user = UserFactory(username="mail", email="Robin@Example.com")
    return OwnerFactory(email="robin@example.com"), CrewMemberFactory(user=user)


def _owner_by_the_name_of_the_account():
    user = UserFactory(username="named", first_name="Robin", last_name="Wheeler")
    return OwnerFactory(name="ROBIN WHEELER"), CrewMemberFactory(name="R. W.", user=user)


@pytest.mark.parametrize(
    "pair", [_owner_by_account, _owner_by_name, _owner_by_email, _owner_by_the_name_of_the_account]
)
def test_the_owner_never_drives(engineer, pair):
    owner, driver = pair()
    assert "never drives the test" in refusal(ready_job(owner=owner), engineer, driver=driver)


def test_an_empty_email_makes_nobody_the_owner(engineer):
    driver = CrewMemberFactory(user=UserFactory(username="silent", email=""))
    services.book(by=engineer, job=ready_job(owner=OwnerFactory(email="")), **wanted(driver=driver))


def test_not_in_the_past(engineer):
    assert "has begun already" in refusal(ready_job(), engineer, day=in_days(-1))


def test_not_in_ten_years(engineer):
    far = CrewMemberFactory(evidence_valid_to=in_days(9000))
    assert "more than two years away" in refusal(ready_job(), engineer, day=in_days(3000), driver=far)


@pytest.mark.parametrize(("clock", "hours", "fits"), [("14:00", 4, True), ("14:30", 4, False), ("05:30", 1, False)])
def test_within_the_hours_of_the_site(engineer, clock, hours, fits):
    if fits:
        services.book(by=engineer, job=ready_job(), **wanted(clock=clock, hours=hours))
    else:
        assert "06:00 to 18:00" in refusal(ready_job(), engineer, clock=clock, hours=hours)


def test_on_the_quarter_hour(engineer):
    services.book(by=engineer, job=ready_job(), **wanted(clock="06:15"))
    assert "quarter hour" in refusal(ready_job(), engineer, clock="06:10")


def test_a_site_that_is_too_short_is_refused_with_the_lengths(engineer):
    """Run-up 311.2 m and stopping 213.7 m at 110 km/h are the values of FACTS; 20 m margin, 125 m course: 669.9 m."""
    assert "669.9 m" in refusal(ready_job(), engineer, site=level_site(length_m=669))
    services.book(by=engineer, job=ready_job(), **wanted(site=level_site(length_m=670)))


def test_a_narrow_or_sloping_site_is_refused(engineer):
    assert "does not fit" in refusal(ready_job(), engineer, site=level_site(width_m=8))
    sloping = level_site()
    sloping.level = False
    sloping.save()
    assert "not level" in refusal(ready_job(), engineer, site=sloping)


def test_an_unknown_width_may_be_booked(engineer):
    job = ready_job(vehicle=VehicleFactory(overall_width_mm=None))
    assert services.book(by=engineer, job=job, **wanted())


@pytest.mark.parametrize("stage", ["booking", "triage", "certification"])
def test_only_at_its_own_step(engineer, stage):
    assert "signed triage comes first" in refusal(JobFactory(stage=stage), engineer)


def test_a_closed_file_is_not_booked(engineer):
    assert "is closed" in refusal(JobFactory(stage="done"), engineer)


def test_one_booking_for_one_job(engineer):
    job = ready_job()
    services.book(by=engineer, job=job, **wanted())
    assert "has a booking already" in refusal(job, engineer, day=in_days(30))


def test_the_site_is_not_booked_twice(engineer):
    site, first = level_site(), ready_job()
    services.book(by=engineer, job=first, **wanted(site=site))
    said = refusal(ready_job(), engineer, site=site, clock="09:30")
    assert f"{site} is taken" in said
    assert first.number in said
    services.book(by=engineer, job=ready_job(), **wanted(site=site, clock="10:00"))


def test_the_driver_is_not_booked_twice_even_in_another_zone(engineer):
    """10:00 to 14:00 in Eucla (8:45 ahead of UTC) is 12:15 to 16:15 in Sydney's summer."""
    driver, first = CrewMemberFactory(), ready_job()
    day = datetime(timezone.localdate().year + 1, 1, 20).date()
    services.book(
        by=engineer,
        job=first,
        **wanted(driver=driver, day=day, clock="10:00", site=level_site(time_zone="Australia/Eucla")),
    )
    assert f"{driver} is taken" in refusal(ready_job(), engineer, driver=driver, day=day, clock="16:00", hours=1)
    services.book(by=engineer, job=ready_job(), **wanted(driver=driver, day=day, clock="16:30", hours=1))


def test_the_vehicle_is_not_booked_twice_by_plate_alone(engineer):
    """The same car can be presented for two jobs; one file knows the VIN, the other only the plate."""
    services.book(by=engineer, job=ready_job(vehicle=VehicleFactory(plate="SAME1")), **wanted())
    again = ready_job(vehicle=VehicleFactory(vin="", plate="SAME1"))
    assert "The vehicle is taken" in refusal(again, engineer)


def test_two_vehicles_without_plate_or_vin_are_two(engineer):
    for _ in range(2):
        services.book(by=engineer, job=ready_job(vehicle=VehicleFactory(vin="", plate="")), **wanted())


def test_moving_frees_the_old_time_and_takes_the_new(as_, engineer, driver):
    job, site = ready_job(), level_site()
    services.book(by=engineer, job=job, **wanted(site=site, driver=driver))
    as_(engineer).post(
        page(job), form(site, driver, day=in_days(21).isoformat(), reason="Wind forecast", cause="weather")
    )
    old, new = job.bookings.order_by("pk")
    assert (old.cancelled_because, old.slots.count()) == ("Wind forecast", 0)
    assert new.day == in_days(21)
    assert services.standing_booking(job) == new


def test_a_booking_moves_by_half_an_hour_over_itself(engineer):
    job, site, driver = ready_job(), level_site(), CrewMemberFactory()
    services.book(by=engineer, job=job, **wanted(site=site, driver=driver))
    services.move(by=engineer, job=job, reason="later", **wanted(site=site, driver=driver, clock="06:30"))
    assert f"{services.standing_booking(job).local_start:%H:%M}" == "06:30"


def test_a_move_that_is_refused_leaves_everything(as_, engineer, driver):
    job, site = ready_job(), level_site()
    services.book(by=engineer, job=job, **wanted(site=site, driver=driver))
    taken = BookedSlot.objects.count()
    response = as_(engineer).post(page(job), form(site, driver, start="17:00", reason="later"))
    assert response.status_code == 200
    assert BookedSlot.objects.count() == taken
    assert services.standing_booking(job).local_start.hour == 6


def test_a_move_on_the_test_day_returns_the_job_to_scheduling(engineer):
    job, site, driver = ready_job(), level_site(), CrewMemberFactory()
    services.book(by=engineer, job=job, **wanted(site=site, driver=driver))
    job.stage = "testday"
    job.save()
    services.move(by=engineer, job=job, reason="Too windy", **wanted(site=site, driver=driver, day=in_days(22)))
    job.refresh_from_db()
    assert job.stage == "scheduling"
    assert services.standing_booking(job).day == in_days(22)


def test_a_move_needs_a_reason(as_, engineer, driver):
    job, site = ready_job(), level_site()
    services.book(by=engineer, job=job, **wanted(site=site, driver=driver))
    response = as_(engineer).post(page(job), form(site, driver, day=in_days(21).isoformat()))
    assert response.context["form"].errors.keys() == {"reason", "cause"}


def test_the_desk_looks_and_does_not_book(as_, desk, driver):
    job = ready_job()
    assert as_(desk).get(page(job)).status_code == 403
    assert as_(desk).post(page(job), form(level_site(), driver)).status_code == 403


def test_the_slots_cover_the_booking_and_nothing_else(engineer):
    job, site = ready_job(), level_site()
    services.book(by=engineer, job=job, **wanted(site=site, hours=1))
    starts = sorted(BookedSlot.objects.filter(resource=f"site:{site.pk}").values_list("slot_at", flat=True))
    begin = at(site, in_days(20))
    assert starts == [begin + timedelta(minutes=15 * number) for number in range(4)]
