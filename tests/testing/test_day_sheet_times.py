"""What was done when: checks, stops and corrections keep the moment they speak of; nothing slips in behind."""

import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.refused import Refused
from testing.testday import checks, going_on, ladder, limits, loading, offline, recording, settling
from testing.testday.models import Check, KeptEntry, Release, StruckRun
from testing.testday.procedure import lane_change
from testing.testday.signing import sign_statement
from tests.testday_factories import EARLIER, NAMED, confirm_all, drive, fresh, load, opened_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def unchecked(job, site, driver, engineer):
    return opened_day(job, site=site, driver=driver, engineer=engineer)


@pytest.fixture
def day(unchecked, engineer):
    confirm_all(unchecked, by=engineer)
    load(unchecked, by=engineer, mass="tm1", loaded_at=timezone.now() - EARLIER)
    return unchecked


def ago(minutes):
    return timezone.now() - timedelta(minutes=minutes)


def step(day, mass="tm1"):
    return next(one for one in ladder.progress_of(fresh(day)) if one.mass == mass)


@pytest.mark.parametrize(("checked_before_min", "counts"), [(40, True), (20, False)])
def test_a_run_that_waited_on_a_phone_was_ready_only_if_it_was_checked_before(
    engineer, driver_user, unchecked, checked_before_min, counts
):
    keys = [item.key for item in lane_change().checks]
    checks.confirm(day=unchecked, keys=keys, by=engineer, notes=NAMED, done_at=ago(checked_before_min))
    load(unchecked, by=engineer, mass="tm1", loaded_at=ago(60))
    run = drive(fresh(unchecked), by=driver_user, driven_at=ago(30))
    assert run.counts is counts
    assert counts or "not ready: Inspected for mechanical defects" in run.not_counting_because


def test_a_second_note_on_a_check_is_kept_for_the_engineer(engineer, driver_user, unchecked):
    one = {"keys": ["tyre_pressures"], "notes": {"tyre_pressures": "220/240 kPa"}}
    other = {"keys": ["tyre_pressures"], "notes": {"tyre_pressures": "rear left 150 kPa, leaking"}}
    checks.confirm(day=unchecked, by=engineer, **one)
    for _ in range(2):
        checks.confirm(day=unchecked, by=driver_user, **other)
        checks.confirm(day=unchecked, by=engineer, **one)
    assert Check.objects.get().note == "220/240 kPa"
    kept = KeptEntry.objects.get()
    assert "rear left 150 kPa, leaking" in kept.reason and kept.by == driver_user
    assert [item.about for item in settling.open_items(fresh(unchecked))] == ["entry"]


@pytest.mark.parametrize(("ruling", "next_kmh"), [("strike", 90), ("stands", 100)])
def test_runs_after_a_stop_their_phone_had_not_heard_of_wait_for_the_engineer(
    engineer, driver_user, day, ruling, next_kmh
):
    drive(day, by=driver_user, driven_at=ago(25), device="one")
    drive(day, by=driver_user, aimed=90, driven_at=ago(10), device="one")
    recording.call_stop(day=fresh(day), by=engineer, reason="Soft pedal", sent_as=uuid.uuid4(), called_at=ago(20))
    (item,) = settling.open_items(fresh(day))
    assert item.about == "late" and "was driven after" in item.text and "Soft pedal" in item.text
    settling.settle(day=fresh(day), by=engineer, about="late", key=item.key, ruling=ruling, reason="Fluid was low")
    assert not settling.open_items(fresh(day))
    going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="Bled the brakes")
    assert step(day).next_kmh == next_kmh


def test_a_correction_does_not_mend_that_a_run_was_not_open(engineer, driver_user, day):
    recording.call_stop(day=day, by=driver_user, reason="A noise", sent_as=uuid.uuid4())
    late = drive(fresh(day), by=driver_user, driven_at=ago(1), remark="x" * 250)
    assert not late.counts and late.untimely and "A noise" in late.untimely[-1]
    corrected = recording.correct_run(run=late, by=engineer, reason="misread", sent_as=uuid.uuid4(), remark="tidy")
    assert not corrected.counts and corrected.untimely == late.untimely


def test_a_run_that_two_phones_wrote_down_is_told_apart_before_it_is_corrected(engineer, driver_user, day):
    one = drive(day, by=driver_user, driven_at=ago(9), device="one")
    two = drive(fresh(day), by=engineer, driven_at=ago(9) + timedelta(seconds=20), device="two")
    assert two.contests == one
    for run in (one, two):
        with pytest.raises(Refused, match="Settle first whether run"):
            recording.correct_run(run=run, by=engineer, reason="misread", sent_as=uuid.uuid4(), remark="tidy")
    with pytest.raises(Refused, match="Settle first which entries"):
        going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="go on")
    (item,) = settling.open_items(fresh(day))
    assert "80.4 km/h measured" in item.text
    settling.settle(day=fresh(day), by=engineer, about="contest", key=two.pk, ruling="first", reason="one run")
    assert StruckRun.objects.get().run == two
    assert recording.correct_run(run=one, by=engineer, reason="misread", sent_as=uuid.uuid4(), remark="tidy").counts


def test_the_nearest_of_two_runs_is_the_one_in_doubt(engineer, driver_user, day):
    now = timezone.now()
    drive(day, by=driver_user, driven_at=now - timedelta(seconds=50), device="one")
    near = drive(fresh(day), by=driver_user, aimed=90, driven_at=now - timedelta(seconds=15), device="one")
    doubtful = drive(fresh(day), by=engineer, aimed=90, driven_at=now - timedelta(seconds=11), device="two")
    assert doubtful.contests == near


@pytest.mark.parametrize(("measured", "stopped"), [(85.0, False), (85.1, True)])
def test_much_faster_than_aimed_at_stops_the_climb(driver_user, engineer, day, measured, stopped):
    drive(day, by=driver_user, measured_kmh=measured)
    assert step(day).stopped is stopped
    if stopped:
        assert "85.1 km/h were driven with 80 km/h aimed at" in step(day).reason
        going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="Speedometer explained")
        assert step(day).next_kmh == 80


def test_an_angle_that_is_raised_later_makes_no_run_clean(engineer, driver_user, day):
    drive(day, by=driver_user, roll_deg=20)
    assert step(day).stopped
    limits.set_roll(day=fresh(day), by=engineer, angle_deg=45, reason="Soft springs by design")
    assert step(day).stopped
    going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="Looked at the springs")
    assert step(day).next_kmh == 80
    assert drive(fresh(day), by=driver_user, roll_deg=20).counts and step(day).next_kmh == 90
    limits.set_roll(day=fresh(day), by=engineer, angle_deg=15, reason="A wheel went light")
    assert step(day).stopped


def test_what_lies_in_another_place_than_planned_has_to_be_weighed(day):
    planned = {item.key: item.kg for item in loading.plan(day, "tm2")}
    moved = dict.fromkeys(planned, 0.0) | {"luggage": sum(planned.values())}
    judged = loading.judge(day, mass="tm2", places=moved, front_kg=None, rear_kg=None, restrained=True)
    assert any(text.startswith("driver: 0.0 kg where 80.0 kg are planned; weigh both axles") for text in judged.reasons)
    weighed = loading.judge(day, mass="tm2", places=moved, front_kg=1280.0, rear_kg=1329.5, restrained=True)
    assert not weighed.reasons
    near = planned | {"driver": planned["driver"] + 9}
    assert not loading.judge(day, mass="tm2", places=near, front_kg=None, rear_kg=None, restrained=True).reasons


def sent(day, by, *entries):
    told = {"device": "one", "now": timezone.now().isoformat(), "entries": list(entries)}
    return [answer["state"] for answer in offline.take_all(day=fresh(day), by=by, sent=told)]


def decision(mass="tm1", minutes=10, reason="Dampers set harder"):
    data = {"mass": mass, "reason": reason}
    return {"kind": "release", "sent_as": str(uuid.uuid4()), "at": ago(minutes).isoformat(), "data": data}


def test_the_engineer_lets_the_climb_go_on_without_reception(engineer, driver_user, day):
    for minutes in (30, 25, 20):
        drive(day, by=driver_user, outcome="cones", cones_moved=1, driven_at=ago(minutes), device="one")
    assert step(day).stopped
    entry = decision()
    assert sent(day, engineer, entry, entry) == ["stored", "already"]
    kept = Release.objects.get()
    assert kept.decided_at < kept.at and (kept.after_run, kept.mass) == (3, "tm1")
    assert drive(fresh(day), by=driver_user, driven_at=ago(5), device="one").counts and step(day).next_kmh == 90


def test_what_was_driven_before_the_decision_and_arrives_after_it_proves_nothing(engineer, driver_user, day):
    drive(day, by=driver_user, wheel_lift=True, driven_at=ago(20), device="one")
    sent(day, engineer, decision(minutes=10))
    late = drive(fresh(day), by=driver_user, driven_at=ago(15), device="two")
    assert not late.counts and "it was driven before the decision" in late.not_counting_because
    assert drive(fresh(day), by=driver_user, driven_at=ago(5), device="one").counts


def test_a_stop_called_after_the_decision_stands(engineer, driver_user, day):
    drive(day, by=driver_user, wheel_lift=True, driven_at=ago(20), device="one")
    recording.call_stop(day=fresh(day), by=driver_user, reason="A dog", sent_as=uuid.uuid4(), called_at=ago(5))
    sent(day, engineer, decision(minutes=10))
    assert step(day).stopped and "A dog" in step(day).reason and "wheel" not in step(day).reason


def test_only_the_engineer_decides_and_what_cannot_stand_is_kept(engineer, driver_user, day):
    drive(day, by=driver_user, wheel_lift=True, driven_at=ago(20), device="one")
    assert sent(day, driver_user, decision()) == ["kept"]
    assert sent(day, engineer, decision(reason=""), decision(mass="tm9")) == ["kept", "kept"]
    assert step(day).stopped and not Release.objects.exists()


def test_one_decision_for_both_masses_is_no_quarrel_when_the_second_arrives(engineer, driver_user, day):
    recording.call_stop(day=day, by=driver_user, reason="A dog", sent_as=uuid.uuid4(), called_at=ago(20))
    assert sent(day, engineer, decision("tm1"), decision("tm2")) == ["stored", "already"]
    assert not step(day).stopped and not step(day, "tm2").stopped and not KeptEntry.objects.exists()


def known(decided, *, runs=(), stops=()):
    """The decision with the marks that its phone knew of, as the page sends them."""
    decided["data"] |= {"known_run": ["", *runs], "known_stop": ["", *stops]}
    return decided


@pytest.mark.parametrize("by_marks", [False, True])
def test_an_alarm_after_the_decision_that_arrived_before_it_stands(engineer, driver_user, day, by_marks):
    """One phone sends a wheel lift of 10:08; then another one of 10:00 and the decision of 10:04 arrive."""
    drive(day, by=driver_user, wheel_lift=True, driven_at=ago(2), device="two")
    first = drive(fresh(day), by=driver_user, wheel_lift=True, driven_at=ago(10), device="one")
    decided = decision(minutes=6)
    sent(day, engineer, known(decided, runs=[str(first.sent_as)]) if by_marks else decided)
    assert step(day).stopped and "on run 1 a wheel lifted" in step(day).reason
    assert "run 2" not in step(day).reason


@pytest.mark.parametrize("by_marks", [False, True])
def test_a_stop_after_the_decision_that_arrived_before_it_stands(engineer, driver_user, day, by_marks):
    marks = {name: uuid.uuid4() for name in ("oil", "dog")}
    recording.call_stop(day=day, by=driver_user, reason="Oil on course", sent_as=marks["oil"], called_at=ago(2))
    recording.call_stop(day=fresh(day), by=driver_user, reason="Dog", sent_as=marks["dog"], called_at=ago(10))
    decided = decision(minutes=6)
    sent(day, engineer, known(decided, stops=[str(marks["dog"])]) if by_marks else decided)
    for mass in ("tm1", "tm2"):
        assert step(day, mass).stopped and "Oil on course" in step(day, mass).reason
        assert "Dog" not in step(day, mass).reason


def test_what_the_phone_of_the_engineer_had_not_heard_of_is_not_let_go(engineer, driver_user, day):
    """The driver's stop was called before the decision, and reached nobody until after it."""
    first = drive(day, by=driver_user, wheel_lift=True, driven_at=ago(20), device="one")
    recording.call_stop(day=fresh(day), by=driver_user, reason="Loose", sent_as=uuid.uuid4(), called_at=ago(15))
    answer = sent(day, engineer, known(decision(minutes=10), runs=[str(first.sent_as)]))
    assert answer == ["stored"] and "Loose" in step(day).reason and "wheel" not in step(day).reason
    assert sent(day, engineer, known(decision(minutes=9), runs=[str(first.sent_as)])) == ["kept"]
    assert "came to light after this decision" in KeptEntry.objects.get().reason


def test_an_alarm_that_a_correction_brings_to_light_stops_the_climb_again(engineer, driver_user, day):
    run = drive(day, by=driver_user)
    drive(fresh(day), by=driver_user, aimed=90, wheel_lift=True)
    going_on.release(day=fresh(day), mass="tm1", by=engineer, reason="Dampers set harder")
    same = recording.correct_run(run=run, by=engineer, reason="wind", sent_as=uuid.uuid4(), wind_mps=1.1)
    assert not step(day).stopped
    recording.correct_run(run=same, by=engineer, reason="tilt meter read", sent_as=uuid.uuid4(), roll_deg=30)
    assert step(day).stopped and "the body rolled 30°" in step(day).reason and "wheel" not in step(day).reason


def test_one_entry_that_cannot_be_encoded_holds_up_nothing(driver_user, day):
    half = {"kind": "run", "sent_as": str(uuid.uuid4()), "at": ago(1).isoformat(), "data": {"remark": "x \ud83d"}}
    odd = {"kind": "st\ud83dop", "sent_as": "\ud83d", "data": {"\ud83d": ["\ud83d"]}}
    called = {"kind": "stop", "sent_as": str(uuid.uuid4()), "at": ago(1).isoformat(), "data": {"reason": "Dog \ud83d"}}
    assert sent(day, driver_user, half, odd, called) == ["kept", "kept", "stored"]
    assert day.stops.get().reason == "Dog ?"


def test_a_corrected_run_does_not_escape_a_stop_that_its_phone_had_not_heard_of(engineer, driver_user, day):
    run = drive(day, by=driver_user, driven_at=ago(10), device="one")
    recording.correct_run(run=run, by=engineer, reason="wind", sent_as=uuid.uuid4(), wind_mps=1.1)
    recording.call_stop(day=fresh(day), by=engineer, reason="Soft pedal", sent_as=uuid.uuid4(), called_at=ago(11))
    (item,) = settling.open_items(fresh(day))
    assert "was driven after" in item.text and "run 2" in item.text.lower()


def test_a_late_alarm_after_the_signature_is_not_said_to_change_nothing(engineer, driver_user, day):
    name = day.booking.driver.name
    sign_statement(day=day, by=driver_user, safe=False, remark="Wanders", signed_name=name)
    drive(fresh(day), by=driver_user, driven_at=ago(10), device="one")
    drive(fresh(day), by=driver_user, driven_at=ago(8), device="one", wheel_lift=True)
    said = [dict(item.rulings)["seen"] for item in settling.open_items(fresh(day))]
    assert said == ["Seen: it changes nothing", "Seen: what happened on it stops this day, so decide on a retest"]
