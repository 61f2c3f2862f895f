"""Deciding one job, and deciding all open jobs again."""

import gc
import tracemalloc
from io import StringIO

import pytest
from django.core.management import call_command

from testing.models import RuleSetEdition
from testing.triage import drafting
from testing.triage.effect import effects, open_jobs
from tests.benchmarks.clock import best_of
from tests.calculations.cases import case
from tests.factories import JobFactory
from vehicles.calculations.triage import triage
from vehicles.reference import rule_set

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]


def test_the_triage_of_one_job_takes_at_most_5_ms():
    one, rules = case(), rule_set("NSW")
    assert best_of(lambda: triage(one, rules=rules).as_dict(), rounds=25) <= 0.005


@pytest.fixture
def draft(admin_user):
    return drafting.start(by=admin_user, edition=RuleSetEdition.objects.get(key="NSW-2016-11"))


def retriage(draft):
    call_command("retriage", draft=draft.pk, stdout=StringIO(), stderr=StringIO())


def test_retriage_grows_with_the_number_of_jobs_and_no_faster(draft):
    for _ in range(40):
        JobFactory()
    first = best_of(lambda: retriage(draft), rounds=3)
    for _ in range(120):
        JobFactory()
    second = best_of(lambda: retriage(draft), rounds=3)
    assert second <= 6 * first
    # 10,000 jobs in 60 s are 6 ms for each.
    assert (second - first) / 120 <= 0.006


def test_a_retriage_lets_go_of_the_jobs_behind_it(draft):
    for _ in range(240):
        JobFactory()
    tried = drafting.rule_sets(draft.data)
    held = []
    tracemalloc.start()
    for number, _ in enumerate(effects(open_jobs(tried).iterator(chunk_size=20), tried), start=1):
        if number in (60, 230):
            gc.collect()
            held.append(tracemalloc.get_traced_memory()[0])
    tracemalloc.stop()
    # 170 jobs kept would be far more: one job with its vehicle and modifications takes over 5 kB.
    assert held[1] - held[0] < 170 * 500
