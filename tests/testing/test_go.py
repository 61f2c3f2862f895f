"""Go or no-go: every condition with its evidence, and a decision that keeps what was known."""

from datetime import timedelta

import pytest
from django.core import mail
from django.db import DatabaseError, connection, transaction
from django.urls import reverse
from django.utils import timezone

from certificates.demo.clock import at as at_time
from jobs import outbox
from jobs.append_only import Immutable
from jobs.refused import Refused
from testing.models import BallastStock, ForecastHour, GoDecision, PreparationCheck
from testing.scheduling import go, services
from testing.scheduling.habits import habits
from tests.factories import CrewMemberFactory
from tests.scheduling_factories import calibrated, in_days, keep_weather, level_site, ready_job, wanted
from tests.testday_factories import sign_triage

pytestmark = pytest.mark.django_db
ITEMS = [item["key"] for item in habits()["preparation"]]


@pytest.fixture
def planned(engineer):
    """A job on a calm day with everything there but the preparation."""
    job = ready_job()
    sign_triage(job, engineer=engineer)
    job.stage = "scheduling"
    job.save()
    site = level_site(latitude_deg=-33.87, longitude_deg=151.21)
    gear = [calibrated("gps_speed"), calibrated("anemometer")]
    BallastStock.objects.create(name="Bags", piece_kg=20, pieces=40)
    takes = wanted(site=site, day=in_days(1), clock="08:00")
    services.book(by=engineer, job=job, **takes, instruments=gear, observers=[CrewMemberFactory()])
    keep_weather(site, in_days(1), by=engineer)
    return job


def found(job):
    return {c.title: c for c in go.conditions_for_go(job, services.standing_booking(job))}


def prepare(job, engineer, **changed):
    for key in ITEMS:
        go.note(by=engineer, job=job, key=key, verdict=changed.get(key, "met"), evidence=f"Looked at {key}")


def test_what_is_asked_for(planned):
    verdicts = {title: c.verdict for title, c in found(planned).items()}
    items = [item["title"] for item in habits()["preparation"]]
    assert {title for title, verdict in verdicts.items() if verdict == "unknown"} == set(items)
    assert {"Weather", "Insurance cover", "Instruments", "Driver", "Observers", "Ballast", "Daylight", "Triage"} <= {
        title for title, verdict in verdicts.items() if verdict == "met"
    }
    assert [item["key"] for item in habits()["preparation"]] == [
        "tyre_pressures", "brakes", "roof_and_loose", "fuel", "standard_equipment",
    ]  # fmt: skip


def test_the_latest_word_on_an_item_counts_and_the_earlier_stays(planned, engineer):
    go.note(by=engineer, job=planned, key="brakes", verdict="not_met", evidence="Handbrake slips")
    go.note(by=engineer, job=planned, key="brakes", verdict="met", evidence="Adjusted, holds on the ramp")
    brakes = found(planned)["Brakes, with the handbrake"]
    assert (brakes.verdict, "holds on the ramp" in brakes.text) == ("met", True)
    assert PreparationCheck.objects.count() == 2


def test_a_forecast_that_is_too_old_is_not_known(planned):
    ForecastHour.objects.update(entered_at=timezone.now() - timedelta(hours=13))
    assert found(planned)["Weather"].verdict == "unknown"
    assert "Stale" in found(planned)["Weather"].text


def test_without_a_place_daylight_is_not_known(planned):
    site = services.standing_booking(planned).site
    site.latitude_deg = site.longitude_deg = None
    site.save()
    assert found(planned)["Daylight"].verdict == "unknown"


def test_facts_that_changed_since_the_triage(planned):
    planned.vehicle.gvm_kg = 2990
    planned.vehicle.save()
    assert found(planned)["Triage"].verdict == "not_met"


def test_go_with_everything_met(as_, engineer, planned):
    prepare(planned, engineer)
    as_(engineer).post(reverse("testing:decide_go", args=[planned.number]), {"word": "go"})
    made = GoDecision.objects.get()
    assert (made.decision, made.by, made.occasion in ("the evening before", "ahead of time")) == ("go", engineer, True)
    assert {c["title"] for c in made.conditions} == set(found(planned))
    assert all(c["verdict"] == "met" for c in made.conditions)
    assert go.latest(made.booking) == made
    assert "Go for" in planned.audit_entries.first().what


def test_nothing_is_in_order_because_nobody_said_otherwise(as_, engineer, planned):
    url = reverse("testing:note_preparation", args=[planned.number])
    page = as_(engineer).post(url, {"key": "brakes", "verdict": "", "evidence": "Looked at the drums"})
    assert found(planned)["Brakes, with the handbrake"].verdict == "unknown"
    # What was typed is still there to be sent again.
    assert "Found: This field is required." in page.content.decode() and "Looked at the drums" in page.content.decode()


def test_the_decision_keeps_what_was_known_then(planned, engineer):
    prepare(planned, engineer)
    go.decide(by=engineer, job=planned, word="go")
    keep_weather(services.standing_booking(planned).site, in_days(1), by=engineer, wind=7.0)
    kept = {c["title"]: c for c in GoDecision.objects.get().conditions}
    assert kept["Weather"]["verdict"] == "met"
    assert found(planned)["Weather"].verdict == "not_met"


def test_a_go_with_something_open_needs_a_reason(as_, engineer, planned):
    url = reverse("testing:decide_go", args=[planned.number])
    response = as_(engineer).post(url, {"word": "go"})
    assert "Say why it goes ahead all the same" in response.content.decode()
    assert not GoDecision.objects.exists()
    as_(engineer).post(url, {"word": "go", "reason": "The owner brings the sheet filled in."})
    assert GoDecision.objects.get().reason


@pytest.mark.parametrize("title", ["Insurance cover", "Driver", "Booking", "Triage"])
def test_no_reason_makes_up_for_these(planned, engineer, title):
    booking = services.standing_booking(planned)
    if title == "Insurance cover":
        planned.covers.update(sum_aud=1)
    elif title == "Driver":
        type(booking.driver).objects.update(evidence_valid_to=in_days(0))
    elif title == "Booking":
        type(booking).objects.update(held_until=timezone.now() + timedelta(hours=2))
    else:
        planned.vehicle.gvm_kg = 2990
        planned.vehicle.save()
    with pytest.raises(Refused, match=f"No go without this. {title}"):
        go.decide(by=engineer, job=planned, word="go", reason="It will be fine.")


def test_no_go_needs_a_reason_and_tells_everybody(as_, engineer, planned):
    url = reverse("testing:decide_go", args=[planned.number])
    assert "Say why" in as_(engineer).post(url, {"word": "no_go"}).content.decode()
    as_(engineer).post(url, {"word": "no_go", "reason": "Gusts over the strip"})
    mail.outbox.clear()
    outbox.send_due()
    (letter,) = (message for message in mail.outbox if "does not go ahead" in message.subject)
    assert letter.to == [planned.owner.email]
    assert "Gusts over the strip" in letter.body
    assert go.latest(services.standing_booking(planned)).decision == "no_go"


def test_the_occasion(planned):
    booking = services.standing_booking(planned)
    assert go.occasion(booking, booking.starts_at - timedelta(hours=2)) == "on the morning"
    assert go.occasion(booking, booking.starts_at - timedelta(hours=12)) == "the evening before"
    assert go.occasion(booking, booking.starts_at - timedelta(days=3)) == "ahead of time"


def test_on_the_morning_it_is_decided_again(planned, engineer):
    prepare(planned, engineer)
    go.decide(by=engineer, job=planned, word="go")
    booking = services.standing_booking(planned)
    with at_time(booking.starts_at - timedelta(hours=1)):
        go.decide(by=engineer, job=planned, word="no_go", reason="Wet course")
    assert [made.decision for made in booking.decisions.all()] == ["no_go", "go"]
    assert go.latest(booking).occasion == "on the morning"


def test_decisions_and_checks_are_written_once(planned, engineer):
    prepare(planned, engineer)
    made = go.decide(by=engineer, job=planned, word="go")
    made.reason = "Something else"
    with pytest.raises(Immutable):
        made.save()
    for table in ("testing_godecision", "testing_preparationcheck"):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"DELETE FROM {table}")  # noqa: S608  the names stand above


def test_without_a_booking(as_, engineer):
    job = ready_job()
    assert "No day is booked" in as_(engineer).get(reverse("testing:go", args=[job.number])).content.decode()
    for name in ("decide_go", "note_preparation"):
        facts = {"word": "go", "key": "fuel", "verdict": "met", "evidence": "x"}
        page = as_(engineer).post(reverse(f"testing:{name}", args=[job.number]), facts, follow=True).content.decode()
        assert "no standing booking" in page
    assert as_(engineer).get(reverse("testing:preparation_sheet", args=[job.number])).status_code == 404


@pytest.mark.parametrize(
    ("field", "value"), [("word", "perhaps"), ("word", ""), ("reason", "x" * 301), ("reason", "a\x00b")]
)
def test_a_decision_that_cannot_be_read(as_, engineer, planned, field, value):
    facts = {"word": "no_go", "reason": "Wind", field: value}
    response = as_(engineer).post(reverse("testing:decide_go", args=[planned.number]), facts)
    assert response.context["form"].errors.keys() == {field}


@pytest.mark.parametrize(
    ("field", "value"),
    [("key", "wings"), ("verdict", "unknown"), ("evidence", ""), ("evidence", "a\x00b"), ("evidence", "x" * 201)],
)
def test_a_note_that_cannot_be_read(as_, engineer, planned, field, value):
    facts = {"key": "fuel", "verdict": "met", "evidence": "Gauge at nine tenths", field: value}
    url = reverse("testing:note_preparation", args=[planned.number])
    assert as_(engineer).post(url, facts).context["note_form"].errors.keys() == {field}
    assert not PreparationCheck.objects.exists()


@pytest.mark.parametrize("role", ["desk", "auditor"])
def test_others_read_and_do_not_decide(as_, request, planned, role):
    client = as_(request.getfixturevalue(role))
    page = client.get(reverse("testing:go", args=[planned.number])).content.decode()
    assert "Not looked at yet" in page
    assert "Decide go or no-go" not in page
    assert client.post(reverse("testing:decide_go", args=[planned.number]), {"word": "go"}).status_code == 403


def test_the_sheet_for_the_owner(as_, desk, planned):
    response = as_(desk).get(reverse("testing:preparation_sheet", args=[planned.number]))
    assert b"".join(response).startswith(b"%PDF-")
