"""Drafting the next edition: edits with validation and trail, the effect on open jobs, publishing."""

import json
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, connection, transaction

from jobs.refused import Refused
from testing.models import DraftEdition, RuleEdit, RuleSetEdition
from testing.triage import decision, drafting
from testing.triage.editions import today_in
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db
RISE = "lt2.total_rise_mm"


@pytest.fixture
def draft(admin_user):
    return drafting.start(by=admin_user, edition=RuleSetEdition.objects.get(key="NSW-2016-11"))


def number(draft, name=RISE):
    return f"/rules/drafts/{draft.pk}/numbers/{name}/"


def sent(draft, name=RISE, **changes):
    entry = draft.data["thresholds"].get(name, {})
    return {key: value for key, value in {**entry, **changes}.items() if value is not None}


def test_a_draft_is_a_copy_that_nobody_has_checked(as_, admin_user):
    as_(admin_user).post("/rules/editions/NSW-2016-11/draft/")
    draft = DraftEdition.objects.get()
    held = RuleSetEdition.objects.get(key="NSW-2016-11").data
    assert draft.data["thresholds"] == held["thresholds"]
    assert draft.data["checked_by"] is None
    assert draft.edits.get().what == "Copied from NSW-2016-11"


def test_a_number_is_edited_and_the_trail_keeps_what_it_was(as_, admin_user, draft):
    response = as_(admin_user).post(number(draft), sent(draft, value="100"), follow=True)
    page = response.content.decode()
    assert "more than 75 mm" in page
    assert "more than 100 mm" in page
    draft.refresh_from_db()
    assert draft.data["thresholds"][RISE]["value"] == 100
    edit = RuleEdit.objects.first()
    assert (edit.path, edit.before["value"], edit.after["value"], edit.by) == (
        f"thresholds.{RISE}",
        75,
        100,
        admin_user,
    )


def test_a_zero_is_a_number(as_, admin_user, draft):
    as_(admin_user).post(number(draft), sent(draft, value="0"))
    draft.refresh_from_db()
    assert draft.data["thresholds"][RISE]["value"] == 0


@pytest.mark.parametrize(
    "changes",
    [
        {"value": "-1"}, {"value": "1001"}, {"value": "nan"}, {"value": "inf"}, {"value": "high"}, {"value": ""},
        {"value": "9" * 400}, {"comparison": ""}, {"comparison": "<"}, {"quantity": "height"}, {"source": ""},
        {"source": "x" * 401}, {"tag": "sure"}, {"tag": "memory 101"}, {"note": "a\x00b"},
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_not_lost(as_, admin_user, draft, changes):
    response = as_(admin_user).post(number(draft), sent(draft, **changes))
    assert response.status_code == 200
    assert "Not saved yet" in response.content.decode()
    draft.refresh_from_db()
    assert draft.data["thresholds"][RISE]["value"] == 75
    assert draft.edits.count() == 1


def test_a_national_number_is_stated_differently_and_no_more(as_, admin_user, draft):
    name = "wind.limit_mps"
    page = as_(admin_user).get(number(draft, name)).content.decode()
    assert "Not stated by this draft" in page
    entry = {
        "value": "2.5",
        "unit": "m/s",
        "comparison": "more_than",
        "source": "Workshop's practice",
        "tag": "practice",
    }
    as_(admin_user).post(number(draft, name), entry)
    draft.refresh_from_db()
    assert drafting.rule_sets(draft.data)["NSW"].value(name) == 2.5
    as_(admin_user).post(f"{number(draft, name)}take-out/")
    draft.refresh_from_db()
    assert drafting.rule_sets(draft.data)["NSW"].value(name) == 3


def test_a_name_that_is_no_rule_is_not_found(as_, admin_user, draft):
    assert as_(admin_user).get(number(draft, "lt2.TOTAL")).status_code == 404
    page = as_(admin_user).post(f"{number(draft, 'uncertified.body_mm')}take-out/", follow=True).content.decode()
    assert "is not stated by this draft" in page


def test_the_national_edition_keeps_what_the_work_up_needs(as_, admin_user):
    national = drafting.start(by=admin_user, edition=RuleSetEdition.objects.get(key="AU-VSB14"))
    page = as_(admin_user).post(f"{number(national, 'seat.occupant_kg')}take-out/", follow=True).content.decode()
    assert "seat.occupant_kg: missing; it must be stated" in page
    response = as_(admin_user).post(number(national, "course.datum"), sent(national, "course.datum", value="centre"))
    assert response.status_code == 302


def test_title_and_source_are_edited(as_, admin_user, draft):
    head = {"title": "NSW manual 2.0", "source": "NSW manual 2.0, read", "tag": "pub", "note": ""}
    as_(admin_user).post(f"/rules/drafts/{draft.pk}/title/", head)
    draft.refresh_from_db()
    assert {name: draft.data[name] for name in head} == head


def test_the_effect_on_open_jobs_is_shown_before_publishing(as_, admin_user, draft):
    changed, same, closed = JobFactory(), JobFactory(modifications=[("brake_change", {})]), JobFactory(stage="done")
    elsewhere = JobFactory(jurisdiction="VIC")
    as_(admin_user).post(number(draft), sent(draft, value="100"))
    page = as_(admin_user).get(f"/rules/drafts/{draft.pk}/effect/").content.decode()
    assert changed.number in page
    assert "Overall rise 77.3 mm is not more than 100 mm" in page
    assert "2 of 2 open jobs looked at" in page
    for job in (same, closed, elsewhere):
        assert job.number not in page
    assert decision.triage_of(changed).lane_change.need == "required"


def test_many_open_jobs_are_looked_at_in_batches(as_, admin_user, draft, monkeypatch):
    monkeypatch.setattr("testing.triage.views.rule_drafts.BATCH", 2)
    jobs = [JobFactory() for _ in range(3)]
    url = f"/rules/drafts/{draft.pk}/effect/"
    page = as_(admin_user).get(url).content.decode()
    assert "2 of 3 open jobs looked at" in page
    assert f"?after={jobs[1].pk}" in page
    rest = as_(admin_user).get(url, {"after": jobs[1].pk}, headers={"hx-request": "true"}).content.decode()
    assert "3 of 3 open jobs looked at" in rest
    assert "<html" not in rest
    for wrong in ("x", "-1", "9" * 30, "²"):
        assert "2 of 3" in as_(admin_user).get(url, {"after": wrong}).content.decode()


def publish(as_, user, draft, **changed):
    values = {"key": "NSW-NEXT", "effective_from": today_in("NSW").isoformat(), **changed}
    return as_(user).post(f"/rules/drafts/{draft.pk}/publish/", values, follow=True).content.decode()


def test_publishing_makes_an_edition_and_supersedes_the_old_one(as_, admin_user, draft):
    job = JobFactory()
    as_(admin_user).post(number(draft), sent(draft, value="100"))
    publish(as_, admin_user, draft)
    assert RuleSetEdition.objects.get(key="NSW-NEXT").effective_from == today_in("NSW")
    assert decision.triage_of(job).lane_change.need == "not_required"
    assert drafting.ends_on(RuleSetEdition.objects.get(key="NSW-2016-11")) == today_in("NSW")
    draft.refresh_from_db()
    assert not draft.open
    assert draft.edits.first().what.startswith("Published as NSW-NEXT")


def test_an_edition_of_a_coming_day_waits_for_it(as_, admin_user, draft):
    job = JobFactory()
    as_(admin_user).post(number(draft), sent(draft, value="100"))
    publish(as_, admin_user, draft, effective_from=(today_in("NSW") + timedelta(days=30)).isoformat())
    assert decision.triage_of(job).lane_change.need == "required"
    assert "to come" in as_(admin_user).get("/rules/").content.decode()


@pytest.mark.parametrize(
    "changed",
    [
        {"key": "NSW-2016-11"}, {"key": ""}, {"key": "x" * 41}, {"key": "a/b"}, {"key": "NSW 2"}, {"key": "-"},
        {"effective_from": "2016-01-01"}, {"effective_from": "soon"}, {"effective_from": "9999-12-31"},
    ],
)  # fmt: skip
def test_what_cannot_be_published_is_refused(as_, admin_user, draft, changed):
    assert "Not saved yet" in publish(as_, admin_user, draft, **changed)
    assert RuleSetEdition.objects.count() == 9
    draft.refresh_from_db()
    assert draft.open


def test_a_published_or_discarded_draft_does_not_change_any_more(as_, admin_user, draft):
    as_(admin_user).post(f"/rules/drafts/{draft.pk}/discard/")
    for act in (
        lambda: drafting.set_number(draft=draft, by=admin_user, name=RISE, entry={}),
        lambda: drafting.remove_number(draft=draft, by=admin_user, name=RISE),
        lambda: drafting.discard(draft=draft, by=admin_user),
    ):
        with pytest.raises(Refused, match="discarded and does not change any more"):
            act()
    assert "does not change any more" in publish(as_, admin_user, draft)
    assert as_(admin_user).post(f"/rules/drafts/{draft.pk}/discard/", follow=True).status_code == 200


def bring_in(as_, user, content):
    upload = SimpleUploadedFile("edition.json", content, content_type="application/json")
    return as_(user).post("/rules/drafts/bring-in/", {"upload": upload}, follow=True)


def test_an_exported_edition_comes_in_again_as_it_was(as_, admin_user):
    exported = as_(admin_user).get("/rules/editions/NSW-2016-11/export/").content
    assert bring_in(as_, admin_user, exported).status_code == 200
    draft = DraftEdition.objects.get()
    held = RuleSetEdition.objects.get(key="NSW-2016-11").data
    for part in ("id", "thresholds", "discretionary", "codes", "title"):
        assert draft.data[part] == held[part]
    again = json.loads(as_(admin_user).get(f"/rules/drafts/{draft.pk}/export/").content)
    assert again == draft.data


@pytest.mark.parametrize(
    "content",
    [
        b"", b"[]", b"{", b"\xff\xfe", b'{"id": 1, "id": 2}', b"[" * 5000, b'{"id": "X"}', b'{"jurisdiction": ["NSW"]}',
        b'{"jurisdiction": "XX"}', b'{"jurisdiction": "NSW", "id": "\\u0000"}',
        b'{"jurisdiction": "NSW", "id": "\\ud800"}',
        b'{"jurisdiction": "NSW", "note": NaN}', b'{"jurisdiction": "NSW", "codes": [{"kinds": [[1]]}], "x": 1}',
        b'{"jurisdiction": "NSW", "thresholds": {"lt2.total_rise_mm": {"value": {}, "comparison": []}}}',
    ],
)  # fmt: skip
def test_a_file_that_is_no_edition_is_refused_with_everything_that_is_wrong(as_, admin_user, content):
    response = bring_in(as_, admin_user, content)
    assert response.status_code == 200
    assert "Not saved yet" in response.content.decode()
    assert not DraftEdition.objects.exists()


def test_a_file_with_a_formula_is_text_and_refused_as_a_number(as_, admin_user):
    data = json.loads(as_(admin_user).get("/rules/editions/NSW-2016-11/export/").content)
    data["thresholds"][RISE]["value"] = "__import__('os').getcwd()"
    page = bring_in(as_, admin_user, json.dumps(data).encode()).content.decode()
    assert "allowed: a number from 0 to 1,000" in page


def test_a_file_that_is_too_large_is_refused(as_, admin_user):
    assert "at most 1 MB" in bring_in(as_, admin_user, b" " * 1_100_000).content.decode()


def test_the_trail_is_written_once(draft):
    table = RuleEdit._meta.db_table
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table} SET what = ''")  # noqa: S608  a table's own name
