import pytest

from tests.benchmarks.clock import best_of, side_by_side
from tests.calculations.cases import case, done
from tests.calculations.measured_cases import CORNERS, LIFT, measured
from vehicles.calculations.parse_case import parse_case
from vehicles.calculations.workup import work_up
from vehicles.reference import ballast_stock, price_book, rule_set

pytestmark = pytest.mark.benchmark


EVERYTHING = measured(corners=CORNERS, lift=LIFT)


@pytest.mark.parametrize("one", [case(), parse_case(EVERYTHING)], ids=["as presented", "with all measured"])
def test_a_work_up_without_any_programme_takes_at_most_5_ms(one):
    rules, prices = rule_set("NSW"), price_book()
    assert best_of(lambda: work_up(one, rules=rules, prices=prices, with_demand=False), rounds=25) <= 0.005


def test_what_the_programmes_add_is_told_and_stays_below_a_wait(capsys):
    """The loading plans are integer programmes, the demand is a linear one: neither fits the 5 ms."""
    one, rules, prices = parse_case(EVERYTHING), rule_set("NSW"), price_book()
    stock = ballast_stock()
    planned = best_of(lambda: work_up(one, rules=rules, prices=prices, stock=stock, with_demand=False), rounds=5)
    whole = best_of(lambda: work_up(one, rules=rules, prices=prices, stock=stock), rounds=3)
    with capsys.disabled():
        print(f"\nwork-up with loading plans {1000 * planned:.0f} ms, with these and the demand {1000 * whole:.0f} ms")
    assert planned <= whole <= 1.0


def test_time_does_not_grow_faster_than_the_number_of_modifications():
    rack = {"kind": "roof_load", "mass_kg": 5, "height_mm": 2000}
    few, many = side_by_side(lambda: done(*[rack] * 10), lambda: done(*[rack] * 40))
    assert many <= 8 * few
