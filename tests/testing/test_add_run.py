"""Recording a run: the ladder, the limits of the day, and bad input."""

import uuid

import pytest
from django.urls import reverse

from jobs.models import Draft
from jobs.refused import Refused
from testing.models import Run
from testing.testday.ladder import progress_of
from testing.testday.recording import record_run
from tests.factories import CrewMemberFactory, JobFactory, SiteFactory
from tests.testday_factories import GOOD, climb, confirm_all, drive, fresh, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    return day


def typed(**changed):
    return {
        "mass": "tm1",
        "aimed_kmh": "80",
        "measured_kmh": "80.6",
        "outcome": "clean",
        "cones_moved": "",
        "wind_mps": "1.2",
        "surface": "dry",
        "remark": "calm",
        "sent_as": str(uuid.uuid4()),
        **changed,
    }


def send(as_, user, day, **changed):
    return as_(user).post(reverse("testing:add_run", args=[day.pk]), typed(**changed), follow=True)


def next_speed(day, mass="tm1"):
    return next(step.next_kmh for step in progress_of(day) if step.mass == mass)


def test_a_clean_run_is_stored_and_opens_the_next_speed(as_, driver_user, day):
    text = send(as_, driver_user, day).content.decode()
    run = Run.objects.get()
    assert (run.number, run.mass, run.aimed_kmh, run.measured_kmh, run.wind_mps) == (1, "tm1", 80, 80.6, 1.2)
    assert run.counts and run.by == driver_user and run.remark == "calm"
    assert "Record a run: 90 km/h or below" in text
    assert day.booking.job.audit_entries.first().what.startswith("Run 1")


def test_the_form_offers_what_is_open(as_, driver_user, day):
    climb(day, by=driver_user, mass="tm1", to=90)
    response = as_(driver_user).get(reverse("testing:add_run", args=[day.pk]), {"mass": "tm1"})
    form = response.context["form"]
    assert [value for value, _ in form.fields["aimed_kmh"].choices] == [100, 90, 80, 70, 60]
    assert form.initial["aimed_kmh"] == 100 and form.initial["mass"] == "tm1"
    assert "Above 3 m/s or not measured: recorded, but it does not count." in response.content.decode()


def test_the_same_run_sent_twice_is_stored_once(as_, driver_user, day):
    mark = str(uuid.uuid4())
    send(as_, driver_user, day, sent_as=mark)
    text = send(as_, driver_user, day, sent_as=mark).content.decode()
    assert Run.objects.count() == 1
    assert "Sent twice, stored once" in text


def test_above_the_open_speed_is_refused(as_, driver_user, day):
    response = send(as_, driver_user, day, aimed_kmh="90")
    assert not Run.objects.exists()
    assert "90 km/h is not open. Allowed: 80, 70, 60 km/h." in response.content.decode()
    with pytest.raises(Refused, match="90 km/h is not open"):
        drive(day, by=driver_user, aimed=90)


def test_what_was_typed_before_comes_back_with_both_masses_open(as_, driver_user, day):
    climb(day, by=driver_user, mass="tm1", to=90)
    send(as_, driver_user, day, aimed_kmh="100", wind_mps="fresh breeze")
    form = as_(driver_user).get(reverse("testing:add_run", args=[day.pk]), {"mass": "tm2"}).context["form"]
    assert form.initial["aimed_kmh"] == "100" and form.initial["wind_mps"] == "fresh breeze"
    assert ("100", "100 km/h") in [(str(value), label) for value, label in form.fields["aimed_kmh"].choices]


def test_one_mass_opens_nothing_at_the_other(as_, driver_user, day):
    drive(day, by=driver_user, mass="tm1", aimed=80)
    response = send(as_, driver_user, day, mass="tm2", aimed_kmh="90")
    assert "90 km/h is not open at Test Mass 2. Allowed: 80, 70, 60 km/h." in response.content.decode()
    assert Run.objects.count() == 1


def test_the_service_decides_again_when_the_page_is_older_than_the_ladder(as_, driver_user, engineer, day):
    """Two phones: the page that was opened first still offers 90 when a failure has closed it."""
    drive(day, by=driver_user, aimed=80)
    drive(day, by=driver_user, aimed=80, outcome="cones", cones_moved=2)
    with pytest.raises(Refused, match="repeat at 80 km/h"):
        drive(day, by=engineer, aimed=90)


# Source: wind limit 3 m/s, common practice of lane-change testing: exactly 3.0 is within it.
@pytest.mark.parametrize(
    "wind, surface, counts",
    [("3.0", "dry", True), ("3.01", "dry", False), ("", "dry", False), ("1", "damp", False), ("1", "wet", False)],
)
def test_outside_the_limits_a_run_is_kept_and_does_not_count(as_, driver_user, day, wind, surface, counts):
    text = send(as_, driver_user, day, wind_mps=wind, surface=surface).content.decode()
    run = Run.objects.get()
    assert run.counts is counts
    assert bool(run.not_counting_because) is not counts
    assert ("does not count" in text) is not counts
    assert next_speed(day) == (90 if counts else 80)


@pytest.mark.parametrize("measured, opens", [("80", 90), ("79.9", 80), ("", 80)])
def test_the_next_speed_opens_only_at_the_speed_aimed_at(as_, driver_user, day, measured, opens):
    send(as_, driver_user, day, measured_kmh=measured)
    assert next_speed(day) == opens


def test_a_changed_vehicle_stops_counting(driver_user, day, job):
    job.vehicle.empty_mass_kg = 2170
    job.vehicle.rear_axle_kg = 1020
    job.vehicle.save()
    run = drive(day, by=driver_user)
    assert not run.counts
    assert "Facts of the vehicle were changed since" in run.not_counting_because


def test_three_failures_in_a_row_stop_the_climb(as_, driver_user, day):
    for _ in range(3):
        drive(day, by=driver_user, outcome="aborted", measured_kmh=None)
    with pytest.raises(Refused, match="the engineer decides"):
        drive(day, by=driver_user)
    text = as_(driver_user).get(reverse("testing:add_run", args=[day.pk]), {"mass": "tm1"}).content.decode()
    assert "No speed is open" in text


def test_a_passed_mass_is_not_driven_again(driver_user, day):
    climb(day, by=driver_user, mass="tm1")
    with pytest.raises(Refused, match="Test Mass 1 was clean at its target already"):
        drive(day, by=driver_user, aimed=110)


def test_a_cone_that_fell_is_told_and_a_clean_run_has_none(as_, driver_user, day):
    assert "Allowed: 1 to 18" in send(as_, driver_user, day, outcome="cones").content.decode()
    assert (
        "has the result “cones moved”" in send(as_, driver_user, day, outcome="clean", cones_moved="2").content.decode()
    )
    send(as_, driver_user, day, outcome="cones", cones_moved="2")
    assert Run.objects.get().cones_moved == 2


@pytest.mark.parametrize(
    "field, value, words",
    [
        ("mass", "tm3", "Loaded to"),
        ("mass", "", "Loaded to"),
        ("aimed_kmh", "eighty", "is not open"),
        ("aimed_kmh", "80; drop", "is not open"),
        ("measured_kmh", "NaN", "0 to 200 km/h"),
        ("measured_kmh", "201", "0 to 200 km/h"),
        ("measured_kmh", "9" * 500, "Speed measured at entry"),
        ("wind_mps", "-1", "0 to 60 m/s"),
        ("wind_mps", "inf", "0 to 60 m/s"),
        ("wind_mps", "3\x00", "Wind now"),
        ("cones_moved", "19", "Cones moved"),
        ("cones_moved", "1.5", "Cones moved"),
        ("cones_moved", "9" * 5000, "Cones moved"),
        ("surface", "icy", "Surface"),
        ("outcome", "won", "Result"),
        ("remark", "x" * 301, "Remark"),
        ("remark", "a\x00b", "Remark"),
        ("sent_as", "not-a-mark", "Reload the day sheet"),
        ("sent_as", "", "Reload the day sheet"),
    ],
)
def test_bad_input_is_named_and_nothing_typed_is_lost(as_, driver_user, day, field, value, words):
    response = send(as_, driver_user, day, **{field: value})
    text = response.content.decode()
    assert response.status_code == 200 and "Not saved yet" in text and words in text
    assert not Run.objects.exists()
    assert Draft.objects.get(user=driver_user).values["wind_mps"] == (
        "1.2" if field != "wind_mps" else value.replace("\x00", "")
    )


def test_a_refusal_of_the_service_keeps_what_was_typed(as_, driver_user, day):
    day.booking.cancelled_at = day.booking.starts_at
    day.booking.save()
    response = send(as_, driver_user, day, remark="wind came up")
    assert "was cancelled" in response.content.decode() and "wind came up" in response.content.decode()
    assert not Run.objects.exists()
    assert Draft.objects.get(user=driver_user).values["remark"] == "wind came up"


def test_a_mark_of_another_day_is_refused(day, driver_user, engineer):
    other = opened_day(JobFactory(), site=SiteFactory(), driver=CrewMemberFactory(), engineer=engineer)
    confirm_all(other, by=engineer)
    run = drive(day, by=driver_user)
    with pytest.raises(Refused, match="another test day"):
        record_run(
            day=other, by=engineer, sent_as=run.sent_as, mass="tm1", aimed_kmh=80, **{**GOOD, "measured_kmh": 80}
        )


def test_nothing_is_recorded_after_the_job_went_on(driver_user, day, job):
    job.stage = "certification"
    job.save()
    with pytest.raises(Refused, match="does not stand at the test day"):
        drive(day, by=driver_user)


def test_only_the_crew_of_the_day(as_, other_driver_user, auditor, desk, day):
    assert send(as_, other_driver_user, day).status_code == 404
    for person in (auditor, desk):
        assert send(as_, person, day).status_code == 403
    assert not fresh(day).runs.exists()
