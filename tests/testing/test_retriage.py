"""Deciding every open job again under a draft, by one command."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from jobs.models import AuditEntry
from testing.models import RuleSetEdition
from testing.triage import decision, drafting
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(admin_user):
    draft = drafting.start(by=admin_user, edition=RuleSetEdition.objects.get(key="NSW-2016-11"))
    entry = {**draft.data["thresholds"]["lt2.total_rise_mm"], "value": 100}
    return drafting.set_number(draft=draft, by=admin_user, name="lt2.total_rise_mm", entry=entry)


def run(**options):
    out, err = StringIO(), StringIO()
    call_command("retriage", stdout=out, stderr=err, **options)
    return out.getvalue(), err.getvalue()


def test_it_says_which_jobs_would_change_and_how(draft):
    job = JobFactory()
    JobFactory(modifications=[("brake_change", {})])
    out, err = run(draft=draft.pk)
    assert job.number in out
    assert "Lane-change test (LT2): was required, is not required." in out
    assert "2 open jobs decided again; 1 would change." in err
    assert not AuditEntry.objects.exists()
    assert decision.triage_of(job).lane_change.need == "required"


def test_the_engineers_decisions_are_laid_over(draft, engineer):
    job = JobFactory()
    decision.override(job=job, by=engineer, code="LT2", need="required", reason="High load on the roof.")
    assert "0 would change" in run(draft=draft.pk)[1]


def test_as_data_for_another_program(draft):
    job = JobFactory()
    changes = json.loads(run(draft=draft.pk, format="json")[0])
    assert changes["job"] == job.number
    assert changes["changes"][0]["now"] == "not required"


def test_records_that_contradict_each_other_are_told(draft):
    JobFactory(vehicle__front_axle_kg=900.0)
    assert "cannot be decided: vehicle.front_axle_kg" in run(draft=draft.pk)[0]


def test_the_edition_in_force_changes_nothing():
    JobFactory()
    assert "1 open jobs decided again; 0 would change." in run(edition="NSW-2016-11")[1]
    JobFactory(jurisdiction="WA")
    assert "2 open jobs decided again; 0 would change." in run(edition="AU-VSB14")[1]


@pytest.mark.parametrize("options", [{"draft": 99}, {"edition": "NSW-1900"}, {"draft": -1}])
def test_what_does_not_exist_is_told(options):
    with pytest.raises(CommandError, match="There is no such draft or edition"):
        run(**options)
