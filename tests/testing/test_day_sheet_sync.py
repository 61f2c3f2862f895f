"""What a phone sends: taken once, and what cannot be taken is kept word for word."""

import json
import uuid
from datetime import timedelta
from unittest import mock

import pytest
from django.http import QueryDict
from django.urls import reverse
from django.utils import timezone

from jobs import drafts
from jobs.models import Draft
from testing.models import Run
from testing.testday import checks, loading, settling
from testing.testday.models import Check, DriverStatement, KeptEntry, Loading, StruckRun
from testing.testday.procedure import lane_change
from testing.testday.result import result
from tests.testday_factories import LADDER, NAMED, confirm_all, drive, fresh, load, on_the_day, opened_day, ratings

pytestmark = pytest.mark.django_db
SEEN = {
    "mass": "tm1", "aimed_kmh": "80", "measured_kmh": "80.5", "outcome": "clean", "cones": [], "wind_mps": "1",
    "surface": "dry", "remark": "",
}  # fmt: skip


@pytest.fixture
def day(job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    confirm_all(day, by=engineer)
    load(day, by=engineer, mass="tm1", loaded_at=timezone.now() - timedelta(hours=1))
    return day


def run(at=None, **changed):
    return entry("run", {**SEEN, **changed}, at=at)


def entry(kind, data, at=None):
    moment = at or timezone.now()
    return {"kind": kind, "sent_as": str(uuid.uuid4()), "at": moment.isoformat(), "data": data}


def send(as_, user, day, *entries, device="phone", now=None):
    sent = {"device": device, "now": (now or timezone.now()).isoformat(), "entries": list(entries)}
    url = reverse("testing:sync", args=[day.pk])
    return as_(user).post(url, json.dumps(sent), content_type="application/json")


def states(response):
    return [answer["state"] for answer in response.json()["answers"]]


def test_sent_twice_is_stored_once(as_, driver_user, day):
    one, other = run(), run(aimed_kmh="90", measured_kmh="90.5")
    assert states(send(as_, driver_user, day, one, other)) == ["stored", "stored"]
    assert states(send(as_, driver_user, day, one, other)) == ["already", "already"]
    assert [run.aimed_kmh for run in Run.objects.order_by("number")] == [80, 90]


def test_the_answer_carries_the_new_state(as_, driver_user, day):
    state = send(as_, driver_user, day, run()).json()["state"]
    assert state["masses"][0]["next"] == 90 and state["runs"][0]["aimed"] == 80
    assert state["wind_before"]["wind_mps"] == "1" and state["wind_before"]["surface"] == "dry"
    mark = state["runs"][0]["mark"]
    state = send(as_, driver_user, day, entry("undo", {"run": mark})).json()["state"]
    assert not state["runs"] and state["marks"] == [mark]


@pytest.mark.parametrize("claimed_s", [20, -3600])
def test_no_phone_takes_a_run_back_that_has_stood_for_hours(as_, driver_user, day, claimed_s):
    """Whatever time the phone gives: a failed run that the sheet has had for long is the engineer's to strike."""
    began = timezone.now() - timedelta(hours=5)
    with mock.patch.object(timezone, "now", lambda: began):
        failed = drive(day, by=driver_user, outcome="cones", cones_moved=2)
    at = failed.when + timedelta(seconds=claimed_s)
    answer = send(as_, driver_user, day, entry("undo", {"run": str(failed.sent_as)}, at=at))
    assert states(answer) == ["kept"] and not StruckRun.objects.exists()
    assert "older than a minute" in KeptEntry.objects.get().reason


def test_a_run_and_its_undo_that_arrive_together_hours_later_are_believed(as_, driver_user, day):
    at = timezone.now() - timedelta(hours=2)
    driven = run(at=at)
    undone = entry("undo", {"run": driven["sent_as"]}, at=at + timedelta(seconds=20))
    assert states(send(as_, driver_user, day, driven, undone)) == ["stored", "stored"]
    assert StruckRun.objects.get().run == Run.objects.get()


def test_what_is_half_typed_elsewhere_survives_what_is_sent(as_, driver_user, day):
    typed = {name: reverse(f"testing:{name}", args=[day.pk]) for name in ("sign_statement", "stop")}
    for address in typed.values():
        drafts.keep(driver_user, address, QueryDict("remark=half&reason=half"))
    send(
        as_, driver_user, day, run(), entry("stop", {"reason": "Rain"}), {"kind": ["x"]}, entry("loading", {"mass": []})
    )
    assert list(Draft.objects.values_list("path", flat=True)) == [typed["sign_statement"]]


def test_a_clock_that_is_wrong_is_set_right_by_the_servers(as_, driver_user, day):
    wrong = timezone.now() - timedelta(days=3, hours=2)
    send(as_, driver_user, day, run(at=wrong - timedelta(minutes=0, seconds=1)), now=wrong)
    stored = Run.objects.get()
    assert abs(stored.driven_at - (timezone.now() - timedelta(seconds=1))) < timedelta(seconds=5) and stored.counts


def test_a_run_of_another_date_is_stored_and_does_not_count(as_, driver_user, day):
    send(as_, driver_user, day, run(at=timezone.now() - timedelta(days=1)))
    assert "This day is booked for" in Run.objects.get().not_counting_because


def test_a_run_above_what_was_open_is_stored_and_does_not_count(as_, driver_user, day):
    send(as_, driver_user, day, run(aimed_kmh="110", measured_kmh="111"))
    assert "110 km/h is not open" in Run.objects.get().not_counting_because


def test_two_runs_within_a_minute_from_two_phones_wait_for_the_engineer(as_, driver_user, engineer, day):
    now = timezone.now()
    send(as_, driver_user, day, run(at=now - timedelta(seconds=20)), device="one")
    send(as_, engineer, day, run(at=now), device="two")
    (item,) = settling.open_items(fresh(day))
    assert "two phones" in item.text and item.text in result(day.booking.job).reasons
    settling.settle(day=fresh(day), by=engineer, about="contest", key=item.key, ruling="both", reason="two runs")
    assert not settling.open_items(fresh(day)) and Run.objects.filter(struck=None).count() == 2


def test_two_minutes_apart_are_two_runs(as_, driver_user, engineer, day):
    now = timezone.now()
    send(as_, driver_user, day, run(at=now - timedelta(minutes=2)), device="one")
    send(as_, engineer, day, run(at=now, aimed_kmh="90", measured_kmh="90.2"), device="two")
    assert not settling.open_items(fresh(day)) and all(run.counts for run in Run.objects.all())


BAD = [
    run(aimed_kmh="eighty"), run(measured_kmh="NaN"), run(surface="ice"), run(cones=["99"]), run(remark="x" * 400),
    run(mass="tm9"), entry("telegram", {}), entry("run", None), entry("run", [1]), entry("undo", {"run": "x"}),
    entry("loading", {"mass": "tm3"}), entry("check", {"check": "nonsense"}), entry("stop", {"reason": ""}),
    {"kind": "run"}, "text", 7, None, {"kind": ["run"], "sent_as": {}, "at": [], "data": {"a": {"b": "\x00"}}},
]  # fmt: skip


@pytest.mark.parametrize("bad", BAD, ids=range(len(BAD)))
def test_what_cannot_be_taken_is_kept_once_and_blocks_the_pass(as_, driver_user, engineer, day, bad):
    for _ in range(2):
        response = send(as_, driver_user, day, bad)
        assert response.status_code == 200 and states(response) == ["kept"]
    kept = KeptEntry.objects.get()
    assert kept.reason and kept.by == driver_user
    (item,) = settling.open_items(fresh(day))
    settling.settle(day=fresh(day), by=engineer, about="entry", key=item.key, ruling="seen", reason="a slip")
    assert not settling.open_items(fresh(day))


@pytest.mark.parametrize("body", ["", "{", "[]", "7", '{"entries": 3}', '{"entries": {}}', "[" * 5000, "\xff"])
def test_what_is_no_list_of_entries_is_refused(as_, driver_user, day, body):
    url = reverse("testing:sync", args=[day.pk])
    response = as_(driver_user).post(url, body, content_type="application/json")
    assert response.status_code == 400 and "problem" in response.json()


def test_too_many_at_once_are_refused(as_, driver_user, day):
    assert send(as_, driver_user, day, *[run()] * 201).status_code == 400
    assert not Run.objects.exists()


def test_checks_loading_and_stop_come_the_same_way(as_, driver_user, job, site, driver, engineer):
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    keys = [item.key for item in checks.missing(day, mass="tm1")]
    named = {f"note_{key}": note for key, note in NAMED.items()}
    loaded = {"mass": "tm1", "restrained": "on", "place_fuel": "36.54", "place_driver": "80"}
    answers = send(
        as_, driver_user, day, entry("check", {"check": keys, "note_wheel_nuts": "131 N m", **named}),
        entry("loading", loaded), run(), entry("stop", {"reason": "Rain"}),
    )  # fmt: skip
    assert states(answers) == ["stored"] * 4, answers.json()["answers"]
    assert Check.objects.get(key="wheel_nuts").note == "131 N m" and Loading.objects.get().met
    assert Run.objects.get().counts and "Rain" in answers.json()["state"]["masses"][1]["reason"]


def statement(day, at=None, **changed):
    rated = {f"{mass}_{key}": str(value) for mass, given in ratings().items() for key, value in given.items()}
    name = day.booking.driver.name
    return entry("statement", {"safe": "yes", "remark": "", "signed_name": name, "strokes": "", **rated, **changed}, at)


def whole_day(day):
    """Everything after the checks, as one phone wrote it down from two hours ago on."""
    clock = iter(timezone.now() - timedelta(minutes=120 - 5 * n) for n in range(20))
    written = []
    for mass in ("tm1", "tm2"):
        loaded = {f"place_{item.key}": str(item.kg) for item in loading.plan(day, mass)}
        written.append(entry("loading", {"mass": mass, "restrained": "on", **loaded}, at=next(clock)))
        written += [run(at=next(clock), mass=mass, aimed_kmh=str(v), measured_kmh=str(v + 0.5)) for v in LADDER]
    return [*written, statement(day, at=next(clock))]


@pytest.fixture
def unloaded(job, site, driver, engineer):
    """Checked at the beginning of the booking and loaded by nobody: whatever the hour at which this test runs."""
    day = opened_day(job, site=site, driver=driver, engineer=engineer)
    keys = [item.key for item in lane_change().checks]
    checks.confirm(day=day, keys=keys, by=engineer, notes=NAMED, done_at=day.booking.starts_at)
    return day


def test_a_day_without_any_reception_arrives_whole_signature_included(as_, driver_user, unloaded):
    day = unloaded
    with on_the_day(day, minutes=170):
        written = whole_day(day)
        answers = send(as_, driver_user, day, *written)
        again = send(as_, driver_user, day, *written)
    assert set(states(answers)) == {"stored"}, answers.json()["answers"]
    assert set(states(again)) == {"already"}
    signed = DriverStatement.objects.get()
    assert signed.safe and signed.signed_at < signed.at and str(signed.sent_as) == written[-1]["sent_as"]
    assert signed.when == signed.signed_at and signed.ratings["tm2"]["steering"] == 8
    assert Run.objects.filter(counts=True).count() == 8 and not KeptEntry.objects.exists()


@pytest.mark.parametrize(
    "changed, words",
    [({"signed_name": "Somebody"}, "is not the driver of this day"), ({}, "when both masses are clean at the target"),
     ({"safe": "no", "remark": ""}, "Say what is not safe"), ({"strokes": "["}, "cannot be read")],
)  # fmt: skip
def test_a_signature_that_cannot_stand_is_kept_aside(as_, driver_user, day, changed, words):
    assert states(send(as_, driver_user, day, statement(day, **changed))) == ["kept"]
    assert words in KeptEntry.objects.get().reason and not DriverStatement.objects.exists()


def test_nobody_signs_for_the_driver(as_, engineer, day):
    assert states(send(as_, engineer, day, statement(day, safe="no", remark="Wanders"))) == ["kept"]
    assert f"Only {day.booking.driver.name} signs" in KeptEntry.objects.get().reason


def test_after_a_cancelled_booking_entries_are_kept_aside(as_, driver_user, day):
    day.booking.cancelled_at = timezone.now()
    day.booking.save()
    assert states(send(as_, driver_user, day, run())) == ["kept"]
    assert "cancelled" in KeptEntry.objects.get().reason and not Run.objects.exists()


def test_only_the_crew_of_the_day(as_, other_driver_user, auditor, day):
    assert send(as_, other_driver_user, day, run()).status_code == 404
    assert send(as_, auditor, day, run()).status_code == 403


def test_the_worker_may_keep_the_sheets_and_nothing_else(client):
    answer = client.get("/day-sheet-worker.js")
    assert answer["Service-Worker-Allowed"] == "/day-sheets/" and answer["Content-Type"].startswith("text/javascript")
    assert "no-store" in answer["Cache-Control"]
