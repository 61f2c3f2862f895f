import pytest

from tests.benchmarks.clock import best_of, side_by_side
from tests.calculations.cases import case, done
from vehicles.calculations.workup import work_up
from vehicles.reference import price_book, rule_set

pytestmark = pytest.mark.benchmark


def test_a_work_up_without_the_linear_programme_takes_at_most_5_ms():
    one, rules, prices = case(), rule_set("NSW"), price_book()
    assert best_of(lambda: work_up(one, rules=rules, prices=prices, with_demand=False), rounds=25) <= 0.005


def test_time_does_not_grow_faster_than_the_number_of_modifications():
    rack = {"kind": "roof_load", "mass_kg": 5, "height_mm": 2000}
    few, many = side_by_side(lambda: done(*[rack] * 10), lambda: done(*[rack] * 40))
    assert many <= 8 * few
