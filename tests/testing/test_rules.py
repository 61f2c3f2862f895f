"""The editions: which hold on a day, what they state, who checked them, and as a file."""

import json
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import DatabaseError, connection, transaction

from testing.models import EditionCheck, RuleSetEdition
from testing.triage import checking, decision, drafting, editions
from tests.factories import JobFactory
from vehicles.calculations.rulesets import UNCHECKED

pytestmark = pytest.mark.django_db


def edition(key="NSW-2016-11"):
    return RuleSetEdition.objects.get(key=key)


def successor(key, effective_from, **numbers):
    """A later edition for NSW in which some numbers are others."""
    data = json.loads(json.dumps(edition().data)) | {"id": key, "effective_from": effective_from}
    for name, value in numbers.items():
        data["thresholds"][name.replace("__", ".")]["value"] = value
    return editions.store(data)


def test_every_edition_is_listed_with_its_state(as_, desk):
    page = as_(desk).get("/rules/").content.decode()
    for held in RuleSetEdition.objects.all():
        assert f"[{held.key}]" in page
    assert page.count("in force</span>") == 9
    assert page.count(UNCHECKED) == 9


def test_an_edition_shows_its_numbers_with_source_and_tag(as_, desk):
    page = as_(desk).get("/rules/editions/NSW-2016-11/").content.decode()
    assert "Lane-change test due: overall rise" in page
    assert "more than 75 mm" in page
    # Where it says what is allowed it says so: "allowed, more than 50 mm" would be the contrary.
    for allowed in ("up to ±50 mm", "up to 75 mm", "up to 50 mm"):
        assert f">{allowed}<" in page
    assert "[practice]" in page
    assert "The exact text on when the lane-change test is due was not seen" in page


@pytest.mark.parametrize("key", ["TAS-ASSUMED", "ACT-ASSUMED", "NT-ASSUMED"])
def test_where_nothing_is_known_the_edition_says_so(as_, desk, key):
    page = as_(desk).get(f"/rules/editions/{key}/").content.decode()
    assert "Nothing found for this jurisdiction; VSB 14 is assumed" in page
    assert "None of its own: the national numbers hold." in page


def test_the_latest_that_has_taken_effect_holds():
    later = successor("NSW-2030", "2030-07-01")
    latest = successor("NSW-2031", "2031-07-01")
    held = {
        at: editions.in_force("NSW", datetime(*at, 12, tzinfo=UTC))[1].key
        for at in ((2029, 1, 1), (2030, 8, 1), (2031, 8, 1))
    }
    assert list(held.values()) == ["NSW-2016-11", later.key, latest.key]
    assert drafting.ends_on(edition()) == date(2030, 7, 1)
    assert drafting.ends_on(later) == date(2031, 7, 1)
    assert drafting.ends_on(latest) is None


def test_it_takes_effect_at_midnight_where_it_holds():
    # Perth is 8 hours ahead of UTC, Sydney 10 in winter.
    data = {**edition("WA-FOUND").data, "id": "WA-2030", "effective_from": "2030-07-01"}
    editions.store(data)
    successor("NSW-2030", "2030-07-01")
    at = datetime(2030, 6, 30, 15, tzinfo=UTC)
    assert editions.in_force("NSW", at)[1].key == "NSW-2030"
    assert editions.in_force("WA", at)[1].key == "WA-FOUND"
    assert editions.in_force("WA", at + timedelta(hours=1))[1].key == "WA-2030"


def test_another_edition_makes_a_signature_stale(engineer):
    job = JobFactory(modifications=[("roof_load", {"mass_kg": 0.0})])
    decision.sign(job=job, by=engineer)
    successor("NSW-2020", "2020-01-01")
    changed = [str(change) for change in decision.differences(job, decision.signed(job), decision.triage_of(job))]
    assert len(changed) == 1
    assert changed[0].startswith("Edition of rules: was ")


def test_a_number_of_the_new_edition_decides(engineer):
    job = JobFactory()
    assert decision.triage_of(job).lane_change.need == "required"
    successor("NSW-2020", "2020-01-01", lt2__total_rise_mm=100)
    assert decision.triage_of(job).lane_change.need == "not_required"


def mark(as_, user, **sent):
    sent = {"on": "2025-03-01", "remark": "Manual 1.0, paper copy", **sent}
    return as_(user).post("/rules/editions/NSW-2016-11/check/", sent, follow=True).content.decode()


def test_a_signatory_marks_an_edition_as_checked(as_, engineer, job):
    assert UNCHECKED in decision.triage_of(job).lane_change.computed["reasons"][0]["source"]
    page = mark(as_, engineer)
    assert "Manual 1.0, paper copy" in page
    assert "SIG-0042" in page
    triage = decision.triage_of(job)
    assert UNCHECKED not in triage.lane_change.computed["reasons"][0]["source"]
    assert [each["mark"] for each in triage.work_up["edition"]] == [UNCHECKED, None]
    assert as_(engineer).get(f"/jobs/{job.number}/triage/").content.decode().count(">checked</span>") == 1


def test_the_mark_does_not_make_a_signature_stale(as_, engineer):
    job = JobFactory(modifications=[("roof_load", {"mass_kg": 0.0})])
    decision.sign(job=job, by=engineer)
    mark(as_, engineer)
    assert not decision.is_stale(job)


def test_only_a_signatory_marks(as_, engineer):
    engineer.authority_number = ""
    engineer.save()
    assert "only a signatory marks" in mark(as_, engineer)
    assert not EditionCheck.objects.exists()


@pytest.mark.parametrize("sent", [{"on": "2999-01-01"}, {"on": "soon"}, {"remark": ""}, {"remark": "x" * 301}])
def test_a_mark_that_cannot_be_is_refused(as_, engineer, sent):
    assert "Not saved yet" in mark(as_, engineer, **sent)
    assert not EditionCheck.objects.exists()


def test_a_mark_is_never_taken_back(engineer):
    checking.mark_checked(edition=edition(), by=engineer, on=date(2025, 3, 1), remark="Held beside the text.")
    table = EditionCheck._meta.db_table
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {table}")  # noqa: S608  a table's own name


def test_an_edition_is_exported_with_its_mark(as_, engineer):
    mark(as_, engineer)
    response = as_(engineer).get("/rules/editions/NSW-2016-11/export/")
    assert response["Content-Disposition"] == 'attachment; filename="nsw-2016-11.json"'
    data = json.loads(response.content)
    assert data["checked_by"].endswith("SIG-0042")
    assert data["thresholds"] == edition().data["thresholds"]


@pytest.mark.parametrize("path", ["", "check/", "export/"])
def test_an_edition_that_does_not_exist(as_, engineer, path):
    assert as_(engineer).get(f"/rules/editions/NSW-1900/{path}").status_code == 404
