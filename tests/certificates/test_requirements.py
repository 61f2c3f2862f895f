"""certificates:requirements, what meets each requirement of the signed triage; and what of it is certified."""

from io import BytesIO

import pytest
from django.db import DatabaseError, connection, transaction
from django.urls import reverse
from pypdf import PdfReader

from certificates import meeting, papers
from certificates.gaps import missing
from certificates.models import MetBy
from certificates.services import issue
from jobs.refused import Refused
from jobs.services import FileClosed, set_aside
from testing.testday.models import Check, Measurement
from testing.triage import decision
from tests.certificates_factories import (
    STARTS,
    at_stage,
    day_of_testing,
    document,
    photo,
    ready_job,
    sign_triage,
    state,
    untested_job,
)
from tests.factories import JobFactory, UserFactory
from vehicles.models import Modification

LIFT = [("suspension_lift", {"front_mm": 20.0, "rear_mm": 20.0})]


def url(job):
    return reverse("certificates:requirements", args=[job.number])


@pytest.fixture
def lifted(engineer):
    """Its triage is signed and needs no test; nothing is said yet of the lines."""
    job = JobFactory(modifications=LIFT)
    sign_triage(job, engineer)
    return at_stage(job, "certification")


def page_of(client, job):
    return client.get(url(job)).content.decode()


def typed(client, job, **said):
    """What the page sends: every field as it stands, with what is typed over it."""
    form = client.get(url(job)).context["form"]
    whole = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
    return {name: value for name, value in whole.items() if value not in (None, "", [])} | said


def test_a_required_line_with_nothing_behind_it_stops_the_signature(engineer, lifted):
    blockers = list(missing(lifted, by=engineer))
    assert {line.code for line in meeting.lines(lifted)} == {
        "LS3/LS4", "LS5/LS6", "LS9/LS10", "PHOTOS", "RECEIPTS", "KIT_APPROVAL", "WHEEL_ALIGNMENT", "RIDE_HEIGHTS",
        "TRAVEL_LEFT",
    }  # fmt: skip
    assert len(blockers) == 9
    receipts = next(one for one in blockers if one.text.startswith("Receipts of the parts and of the work: required"))
    assert receipts.url == f"{url(lifted)}#id_words-receipts"
    with pytest.raises(Refused):
        issue(job=lifted, by=engineer)


def test_the_step_says_what_is_open_before_it_sends_anybody_to_the_report(engineer, lifted, as_):
    page = as_(engineer).get(lifted.get_absolute_url()).content.decode()
    assert "Say what meets the requirements: 9 lines are open." in page
    assert f'class="button next" href="{url(lifted)}"' in page
    state(lifted, engineer)
    page = as_(engineer).get(lifted.get_absolute_url()).content.decode()
    assert "lines are open" not in page
    assert f'class="button next" href="{reverse("certificates:preview", args=[lifted.number])}"' in page


def test_a_word_that_rests_on_a_file_set_aside_rests_on_nothing(engineer, lifted):
    paper = document(lifted, b"%PDF-alignment", caption="Alignment sheet")
    meeting.say(job=lifted, by=engineer, said={"WHEEL_ALIGNMENT": {"documents": [paper]}})
    assert "WHEEL_ALIGNMENT" not in {line.code for line in meeting.lines(lifted) if line.open}
    set_aside(by=engineer, job=lifted, document=paper, reason="Of another vehicle")
    assert "WHEEL_ALIGNMENT" in {line.code for line in meeting.lines(lifted) if line.open}
    paper.refresh_from_db()
    with pytest.raises(Refused, match="is not a file of"):
        meeting.say(job=lifted, by=engineer, said={"WHEEL_ALIGNMENT": {"documents": [paper]}})


def test_what_is_filled_is_kept_and_the_rest_stays_open(engineer, lifted, as_):
    first, second = photo(lifted, "Whole vehicle"), photo(lifted, "Front strut")
    paper = document(lifted, b"%PDF-alignment", caption="Alignment sheet")
    client = as_(engineer)
    page = page_of(client, lifted)
    assert page.index("Files that fit by their name") < page.index("Alignment sheet (paper)")
    data = typed(
        client,
        lifted,
        **{
            "near-photos": [first.pk, second.pk],
            "near-wheel_alignment": [paper.pk],
            "measured-ride_heights": "Front 480 then 500 mm",
            "words-ls3ls4": "ignored: no such field",
            "words-ls3-ls4": "Welds sound, bolts marked",
        },
    )
    response = client.post(url(lifted), data, follow=True)
    assert "Stated: 4. Still open: 5." in response.content.decode()
    said = meeting.standing(lifted)
    assert [file["caption"] for file in said["PHOTOS"].documents] == ["Whole vehicle", "Front strut"]
    assert said["WHEEL_ALIGNMENT"].documents[0]["sha256"] == paper.sha256
    assert said["LS3/LS4"].words == "Welds sound, bolts marked"
    assert len(list(missing(lifted, by=engineer))) == 5


def test_the_same_page_sent_again_writes_nothing_twice(engineer, lifted, as_):
    client = as_(engineer)
    client.post(url(lifted), typed(client, lifted, **{"words-receipts": "Seen at the counter"}))
    client.post(url(lifted), typed(client, lifted))
    assert MetBy.objects.count() == 1
    assert lifted.audit_entries.filter(what="What meets the requirements was stated").count() == 1


def test_the_latest_word_stands_and_an_emptied_line_is_open_again(engineer, lifted, as_):
    client = as_(engineer)
    for words in ("Seen at the counter", "Seen, and copied", ""):
        client.post(url(lifted), typed(client, lifted) | {"words-receipts": words})
    assert [row.words for row in MetBy.objects.all()] == ["Seen at the counter", "Seen, and copied", ""]
    assert "RECEIPTS" not in meeting.standing(lifted)
    page = page_of(client, lifted)
    assert "RECEIPTS: Seen at the counter" in page and "RECEIPTS: open again" in page


@pytest.mark.django_db(transaction=True)
def test_what_was_stated_is_never_changed(engineer):
    untested_job(engineer)
    for statement in ("UPDATE certificates_metby SET words = 'other'", "DELETE FROM certificates_metby"):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)


def test_two_people_do_not_write_over_each_other(engineer, lifted, as_):
    client = as_(engineer)
    before = typed(client, lifted)
    other = UserFactory(roles=["engineer"], first_name="Bea", last_name="Second")
    meeting.say(job=lifted, by=other, said={"RECEIPTS": {"words": "Held in my hand"}})
    response = client.post(url(lifted), before | {"words-kit_approval": "Approval plate read"})
    page = response.content.decode()
    assert "Stated meanwhile by Bea Second" in page and "Approval plate read" in page
    assert meeting.standing(lifted)["RECEIPTS"].words == "Held in my hand"
    again = before | {"seen": MetBy.objects.last().pk, "words-receipts": "Held in my hand"}
    client.post(url(lifted), again | {"words-kit_approval": "Approval plate read"})
    assert meeting.standing(lifted)["KIT_APPROVAL"].by == engineer


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("near-photos", "999999", "999999 is no file of this job. Allowed: the files listed here."),
        ("near-photos", "abc", "abc is no file of this job."),
        ("measured-receipts", "x" * 201, "at most 200 characters (it has 201)"),
        ("words-receipts", "x" * 1001, "at most 1000 characters (it has 1001)"),
        ("words-receipts", "a\x00b", "Null characters are not allowed."),
    ],
)
def test_bad_input_is_told_at_its_field_and_nothing_is_lost(engineer, lifted, as_, field, value, told):
    photo(lifted, "Whole vehicle")
    client = as_(engineer)
    response = client.post(url(lifted), {field: value, "words-kit_approval": "Approval plate read"})
    assert response.status_code == 200
    assert told in response.content.decode()
    assert not MetBy.objects.exists()
    assert "Approval plate read" in page_of(client, lifted)


def test_a_line_that_a_later_triage_no_longer_requires_is_not_asked_for(engineer, lifted):
    meeting.say(job=lifted, by=engineer, said={"TRAVEL_LEFT": {"measured": "80 mm"}})
    job = at_stage(lifted, "triage")
    decision.override(job=job, by=engineer, code="TRAVEL_LEFT", need="not_required", reason="Same springs.")
    decision.sign(job=job, by=engineer)
    job = at_stage(job, "certification")
    assert "TRAVEL_LEFT" not in {line.code for line in meeting.lines(job)}
    assert MetBy.objects.filter(code="TRAVEL_LEFT").exists()
    with pytest.raises(Refused):
        meeting.say(job=job, by=engineer, said={"TRAVEL_LEFT": {"measured": "81 mm"}})


def test_what_a_later_triage_requires_beyond_that_is_asked_for(engineer):
    job = untested_job(engineer)
    Modification.objects.create(vehicle=job.vehicle, kind="brake_change", values={}, note="Discs at the rear")
    sign_triage(at_stage(job, "triage"), engineer)
    texts = [one.text for one in missing(at_stage(job, "certification"), by=engineer)]
    assert any(text.startswith("Parts list of the brakes and result of the brake test: required") for text in texts)


def test_day_sheet_and_measured_sheets_meet_their_lines_by_themselves(engineer, as_):
    job = ready_job(engineer)
    day = job.bookings.get().test_day
    for key in ("mechanical", "tyre_pressures", "brakes"):
        Check.objects.create(day=day, key=key, by=engineer)
    sheets = {line.code: line.sheet for line in meeting.lines(job) if line.sheet}
    assert set(sheets) == {"LT2", "DRIVER_STATEMENT", "INSURANCE", "BRAKE_CHECK", "INSPECTION_SHEET"}
    assert sheets["DRIVER_STATEMENT"].by == day.booking.driver.name
    page = page_of(as_(engineer), job)
    assert "Day sheet of 5 March 2026: inspection, tyre pressures and brakes confirmed" in page
    assert "id_words-brake_check" not in page


def test_words_do_not_stand_in_for_a_sheet_that_is_asked_for(engineer):
    job = JobFactory(modifications=[("engine_change", {})])
    sign_triage(job, engineer)
    with pytest.raises(Refused):
        meeting.say(job=job, by=engineer, said={"NOISE_RESULT": {"words": "Quiet"}})
    Measurement.objects.create(
        job=job, procedure="noise", measured_on=STARTS.date(), values={}, limits={}, instrument="S-1",
        calibrated_until=STARTS.date(), met=True, by=engineer,
    )  # fmt: skip
    sheets = {line.code: line.sheet for line in meeting.lines(job) if line.sheet}
    assert sheets["LT4"].done and sheets["NOISE_RESULT"].text == "Stationary noise test (LT4) of 4 March 2026"


def test_a_line_whose_test_is_not_asked_for_waits_for_words_and_not_for_ever(engineer):
    job = JobFactory(modifications=[("engine_change", {})])
    for line in decision.triage_of(job).open_lines:
        need = "not_required" if line.code in ("LT2", "LT4") else "required"
        decision.override(job=job, by=engineer, code=line.code, need=need, reason="Seen.")
    decision.override(job=job, by=engineer, code="NOISE_RESULT", need="required", reason="The owner brings one.")
    decision.sign(job=job, by=engineer)
    assert next(line for line in meeting.lines(job) if line.code == "NOISE_RESULT").open


def test_nothing_meets_that_it_cannot_be_certified_as_it_is(engineer):
    high = [("suspension_lift", {"front_mm": 75.0, "rear_mm": 75.0}), ("body_lift", {"lift_mm": 60.0})]
    job = JobFactory(jurisdiction="QLD", modifications=high)
    sign_triage(job, engineer)
    job = at_stage(job, "certification")
    assert decision.need(job, "REDUCTION") == "required"
    assert "REDUCTION" not in {line.code for line in meeting.lines(job)}
    assert any("cannot be certified as it is" in one.text for one in missing(job, by=engineer))


def test_the_record_and_the_report_name_what_met_each_line_by_whom_and_when(engineer):
    job = ready_job(engineer)
    meeting.say(job=job, by=engineer, said={"TRAVEL_LEFT": {"measured": "front 78 mm, rear 92 mm"}})
    certificate = issue(job=job, by=engineer)
    met = {line["code"]: line.get("met") for line in certificate.record["triage"]["requirements"]}
    assert met["TRAVEL_LEFT"]["measured"] == "front 78 mm, rear 92 mm"
    assert met["TRAVEL_LEFT"]["by"] == engineer.full_name and met["TRAVEL_LEFT"]["at"].startswith("20")
    assert met["PHOTOS"]["documents"] == [
        {key: certificate.record["documents"][0][key] for key in ("kind", "caption", "sha256")}
    ]
    assert met["LT2"]["sheet"] == "Day sheet of 5 March 2026"
    assert met["DRIVING_REPORT"] is None
    report = PdfReader(BytesIO(papers.read(certificate, papers.REPORT)))
    text = " ".join(" ".join(page.extract_text() for page in report.pages).split())
    assert f"Met by front 78 mm, rear 92 mm ({engineer.full_name}, " in text
    assert "photo “Front left wheel, raised”" in text
    assert "Met by Day sheet of 5 March 2026" in text


def test_before_the_triage_is_signed_and_after_the_file_is_closed_there_is_no_page(engineer, as_, plain):
    client = as_(engineer)
    unsigned = JobFactory()
    assert "has no signed triage yet" in client.get(url(unsigned), follow=True).content.decode()
    assert "is closed" in client.get(url(plain.job), follow=True).content.decode()
    with pytest.raises(FileClosed):
        meeting.say(job=plain.job, by=engineer, said={})


def test_the_job_leads_to_it_as_soon_as_the_triage_is_signed(engineer, as_):
    job = JobFactory()
    sign_triage(job, engineer)
    assert url(job) in as_(engineer).get(at_stage(job, "scheduling").get_absolute_url()).content.decode()


def test_it_can_be_filled_before_the_test_day(engineer):
    job = JobFactory()
    sign_triage(job, engineer)
    meeting.say(job=job, by=engineer, said={"RECEIPTS": {"words": "Seen"}})
    assert not next(line for line in meeting.lines(job) if line.code == "LT2").sheet.done
    day_of_testing(job, engineer)
    assert next(line for line in meeting.lines(job) if line.code == "LT2").sheet.done


@pytest.mark.parametrize("who", ["desk", "driver_user", "owner_user", "auditor", "admin_user"])
def test_nobody_else_states_anything(request, lifted, as_, who):
    client = as_(request.getfixturevalue(who))
    assert client.get(url(lifted)).status_code == 403
    assert client.post(url(lifted), {"words-receipts": "Seen"}).status_code == 403
    assert not MetBy.objects.exists()
