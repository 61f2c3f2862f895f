import pytest

from tests.benchmarks.clock import best_of, side_by_side
from tests.calculations.measured_cases import worked
from vehicles.calculations.ballast import Axles, Piece, Place, plan

pytestmark = pytest.mark.benchmark


def loading(places):
    """A workshop's whole stock over so many places, 13 kg off a round mass."""
    stock = [Piece(key=f"{kg}", mass_kg=kg, count=40) for kg in (10, 20, 25)]
    spots = [
        Place(
            key=str(n),
            x_mm=1000 + 200 * n,
            y_mm=400 * (n % 3 - 1),
            height_mm=600 + 30 * (n % 4),
            share_kg=68,
            most_kg=120,
        )
        for n in range(places)
    ]
    car = Axles(wheelbase_mm=2790, front_kg=1200, rear_kg=1090, front_rating_kg=3000, rear_rating_kg=3000)
    return plan(target_kg=68 * places - 13, stock=stock, places=spots, axles=car)


@pytest.mark.parametrize("places", [5, 9, 12])
def test_a_loading_plan_is_there_before_one_can_wait_for_it(places):
    assert loading(places).feasible
    assert best_of(lambda: loading(places), rounds=3) <= 1.0


def test_the_loading_plans_of_a_case_stay_within_a_multiple_of_its_work_up():
    # Both in one run, so that a busy machine slows both. Each plan is four integer programmes.
    brakes = {"kind": "brake_change"}
    without, planned = side_by_side(lambda: worked(brakes, rows=None), lambda: worked(brakes))
    assert planned <= 250 * without
    assert planned <= 1.0
