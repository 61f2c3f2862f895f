"""What stops the climb, what is taken back or corrected, and what counts in wind and gusts."""

import hashlib
import uuid
from datetime import timedelta
from unittest import mock

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.refused import Refused
from testing.models import Run, StruckRun
from testing.testday import going_on, ladder, limits, recording
from testing.testday.models import RunPhoto
from testing.testday.state import state_of
from tests.browser.test_whole_job import photo
from tests.testday_factories import confirm_all, drive, fresh, load, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    return day


def steps(day):
    return ladder.progress_of(fresh(day))


@pytest.mark.parametrize(
    "seen, words",
    [({"wheel_lift": True}, "a wheel lifted"), ({"roll_deg": 10.1}, "the body rolled 10.1°, beyond the 10° that are"),
     ({"driver_stops": True}, "the driver does not want to go on")],
)  # fmt: skip
def test_the_climb_stops_until_the_engineer_decides(engineer, driver_user, day, seen, words):
    drive(day, by=driver_user, **seen)
    first, second = steps(day)
    assert first.stopped and words in first.reason and first.next_kmh is None
    assert second.stopped is seen.get("driver_stops", False)
    with pytest.raises(Refused, match="the engineer decides"):
        drive(day, by=driver_user)
    going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="Dampers set harder")
    # The run itself stays a failed one: the speed is driven again.
    assert steps(day)[0].next_kmh == 80


def test_exactly_the_set_angle_does_not_stop(driver_user, day):
    drive(day, by=driver_user, roll_deg=10.0)
    assert steps(day)[0].next_kmh == 90


def test_the_engineer_sets_the_angle(as_, engineer, driver_user, day):
    drive(day, by=driver_user, roll_deg=8.0)
    url = reverse("testing:roll_limit", args=[day.pk])
    as_(engineer).post(url, {"angle_deg": "7.5", "reason": "High van"}, follow=True)
    assert limits.roll_deg(fresh(day)) == 7.5 and steps(day)[0].stopped


@pytest.mark.parametrize("angle", ["", "0", "46", "NaN", "steep"])
def test_a_bad_angle_is_named(as_, engineer, day, angle):
    url = reverse("testing:roll_limit", args=[day.pk])
    assert "Angle of roll" in as_(engineer).post(url, {"angle_deg": angle, "reason": "x"}).content.decode()
    assert not day.roll_limits.exists()


def test_anybody_of_the_crew_stops_and_only_the_engineer_lets_go(as_, engineer, driver_user, day):
    url = reverse("testing:stop", args=[day.pk])
    said = {"reason": "A dog on the course", "sent_as": str(uuid.uuid4())}
    for _ in range(2):
        as_(driver_user).post(url, said, follow=True)
    assert day.stops.count() == 1
    assert all(step.stopped and "A dog on the course" in step.reason for step in steps(day))
    going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="Dog caught")
    assert [step.stopped for step in steps(day)] == [False, False]


def test_what_stops_one_mass_only_is_let_go_for_that_mass_only(engineer, driver_user, day):
    drive(day, by=driver_user, wheel_lift=True)
    recording.call_stop(day=fresh(day), by=driver_user, reason="Smell of clutch", sent_as=uuid.uuid4())
    first, second = steps(day)
    assert "a wheel lifted" in first.reason and "Smell of clutch" in first.reason and second.stopped
    going_on.release(day=fresh(day), mass="tm2", by=engineer, reason="Clutch cooled")
    assert [step.stopped for step in steps(day)] == [True, False]
    going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="Dampers set harder")
    assert [step.stopped for step in steps(day)] == [False, False]


def test_a_clean_run_driven_during_a_stop_opens_nothing_when_the_engineer_lets_go(engineer, driver_user, day):
    """Two phones without reception: the clean run was driven after three failures, and reached the sheet first."""
    load(day, by=driver_user, mass="tm1")
    now = timezone.now()
    clean = drive(day, by=driver_user, driven_at=now + timedelta(minutes=9), device="one")
    assert clean.counts and steps(day)[0].next_kmh == 90
    for minutes in (2, 4, 6):
        moment = now + timedelta(minutes=minutes)
        drive(day, by=driver_user, outcome="cones", cones_moved=1, driven_at=moment, device="two")
    assert steps(day)[0].stopped
    going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="Dampers set harder")
    assert steps(day)[0].next_kmh == 80 and not steps(day)[0].stopped


@pytest.mark.parametrize(
    "seen, mass, opened",
    [({"wheel_lift": True}, "tm1", 80), ({"driver_stops": True}, "tm2", 80), ({"wheel_lift": True}, "tm2", 90)],
)
def test_a_clean_run_after_an_alarm_opens_nothing_when_the_engineer_lets_go(
    engineer, driver_user, day, seen, mass, opened
):
    """As above: the clean run was driven after the alarm, on a phone that did not know, and reached the sheet first."""
    for one in ("tm1", "tm2"):
        load(day, by=driver_user, mass=one)
    now = timezone.now()
    drive(day, by=driver_user, mass=mass, driven_at=now + timedelta(minutes=9), device="one")
    drive(day, by=driver_user, mass="tm1", driven_at=now + timedelta(minutes=4), device="two", **seen)
    while stopped := [step.mass for step in steps(day) if step.stopped]:
        going_on.release(day=fresh(day), mass=stopped[0], by=engineer, reason="Looked at it")
    (step,) = (step for step in steps(day) if step.mass == mass)
    assert step.next_kmh == opened
    told = state_of(fresh(day), engineer)
    (run,) = (run for run in told["runs"] if run["number"] == 1)
    assert run["counts"] is (opened == 90)


def test_a_failed_speed_below_the_ladder_closes_what_lies_above_it(driver_user, day):
    drive(day, by=driver_user, aimed=70, outcome="cones", cones_moved=1)
    drive(day, by=driver_user, aimed=60, measured_kmh=48.0, outcome="cones", cones_moved=1)
    assert ladder.open_speeds(day, steps(day)[0]) == (50,)
    drive(day, by=driver_user, aimed=50)
    assert ladder.open_speeds(day, steps(day)[0]) == (70, 60)


def test_a_run_much_faster_than_it_aimed_at_is_named_on_the_sheet(as_, driver_user, day):
    drive(day, by=driver_user, measured_kmh=109)
    text = as_(driver_user).get(reverse("testing:day_sheet", args=[day.pk])).content.decode()
    assert "A run that aimed at 80 km/h was measured at 109 km/h" in text


@pytest.mark.parametrize("gust, counts", [(4.5, True), (4.6, False), (None, True)])
def test_a_gust_over_its_limit_does_not_count(driver_user, day, gust, counts):
    run = drive(day, by=driver_user, gust_mps=gust)
    assert run.counts is counts and ("gust" in run.not_counting_because) is not counts


def undo(as_, user, run):
    return as_(user).post(reverse("testing:undo_run", args=[run.day_id, run.number]), follow=True).content.decode()


def test_undo_within_a_minute_keeps_the_run_readable(as_, driver_user, day):
    run = drive(day, by=driver_user)
    text = undo(as_, driver_user, run)
    assert "undone" in text and StruckRun.objects.get().run == run and steps(day)[0].next_kmh == 80


def test_undo_after_a_minute_is_refused(as_, driver_user, day):
    run = drive(day, by=driver_user)
    later = timezone.now() + timedelta(seconds=61)
    with mock.patch.object(timezone, "now", lambda: later), pytest.raises(Refused, match="older than a minute"):
        recording.undo_run(run=run, by=driver_user)
    assert not StruckRun.objects.exists()


def test_nobody_undoes_for_another(as_, engineer, driver_user, day):
    assert "only they can undo it" in undo(as_, engineer, drive(day, by=driver_user))


def correct(as_, user, run, **changed):
    wanted = {
        "aimed_kmh": run.aimed_kmh, "measured_kmh": "80.4", "outcome": "cones", "cones": ["3", "4"], "cones_moved": "",
        "wind_mps": "1.5", "gust_mps": "", "surface": "dry", "roll_deg": "", "remark": "", "reason": "Seen from van",
        "sent_as": str(uuid.uuid4()), **changed,
    }  # fmt: skip
    return as_(user).post(reverse("testing:correct_run", args=[run.day_id, run.number]), wanted, follow=True)


def test_a_correction_stands_in_the_place_of_the_run(as_, engineer, driver_user, day):
    first = drive(day, by=driver_user, aimed=80)
    drive(day, by=driver_user, aimed=90)
    text = correct(as_, engineer, first).content.decode()
    assert "Stands as run 3" in text and "Seen from van" in text
    run = Run.objects.get(number=3)
    assert (run.outcome, run.cones, run.cones_moved, run.corrects) == ("cones", [3, 4], 2, first)
    assert [one.number for one in ladder.standing_runs(fresh(day))] == [3, 2]
    assert steps(day)[0].next_kmh == 80


def test_a_correction_needs_a_reason_and_the_engineer(as_, engineer, driver_user, day):
    run = drive(day, by=driver_user)
    assert "Not saved yet" in correct(as_, engineer, run, reason="").content.decode()
    assert correct(as_, driver_user, run).status_code == 403
    assert Run.objects.count() == 1


def test_a_correction_does_not_make_a_run_count_that_was_driven_too_early(engineer, driver_user, day):
    moment = timezone.now()
    run, _ = recording.record_run(
        day=fresh(day), by=driver_user, sent_as=uuid.uuid4(), mass="tm2", aimed_kmh=80, wind_mps=1, surface="dry",
        measured_kmh=80, outcome="clean", cones_moved=0, driven_at=moment,
    )  # fmt: skip
    assert "not ready" in run.not_counting_because
    corrected = recording.correct_run(run=run, by=engineer, reason="x", sent_as=uuid.uuid4(), measured_kmh=81.0)
    assert not corrected.counts


def test_a_photo_belongs_to_its_run(as_, driver_user, other_driver_user, day):
    from django.core.files.uploadedfile import SimpleUploadedFile

    run = drive(day, by=driver_user)
    picture = photo()
    hostile = picture["buffer"] + b"<script>alert(1)</script>"
    file = SimpleUploadedFile(picture["name"], hostile, picture["mimeType"])
    as_(driver_user).post(reverse("testing:add_run_photo", args=[day.pk, 1]), {"photo": file}, follow=True)
    kept = RunPhoto.objects.get(run=run)
    url = reverse("testing:run_photo", args=[day.pk, kept.pk])
    answer = as_(driver_user).get(url)
    content = b"".join(answer)
    # Drawn anew: nothing but its pixels is kept, and nothing in it runs.
    assert answer["Content-Type"] == "image/jpeg" and b"script" not in content
    assert hashlib.sha256(content).hexdigest() == kept.sha256
    assert answer["Cache-Control"] == "private, no-store" and "sandbox" in answer["Content-Security-Policy"]
    assert as_(other_driver_user).get(url).status_code == 404


def test_what_is_no_photo_is_refused(as_, driver_user, day):
    from django.core.files.uploadedfile import SimpleUploadedFile

    drive(day, by=driver_user)
    file = SimpleUploadedFile("a.jpg", b"not a picture", "image/jpeg")
    url = reverse("testing:add_run_photo", args=[day.pk, 1])
    assert "allowed kind" in as_(driver_user).post(url, {"photo": file}, follow=True).content.decode()
    assert not RunPhoto.objects.exists()
