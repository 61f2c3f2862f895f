import pytest

from tests.benchmarks.clock import best_of, side_by_side
from vehicles.calculations.course import lay_out
from vehicles.calculations.manoeuvre import demand

COURSE = lay_out(width_mm=1885)
BODY = {"width_m": 1.885, "length_m": 4.825, "front_overhang_m": 0.9, "wheelbase_m": 2.79, "course": COURSE}
SPEEDS = (60, 70, 80, 90, 100, 110)

pytestmark = pytest.mark.benchmark


def test_a_ladder_of_six_speeds_takes_at_most_300_ms():
    # The demand is the same at both masses: one ladder serves the two.
    assert best_of(lambda: demand(**BODY, speeds_kmh=SPEEDS)) <= 0.300


def test_time_grows_with_the_number_of_speeds_and_no_faster():
    one, six = side_by_side(lambda: demand(**BODY, speeds_kmh=(80,)), lambda: demand(**BODY, speeds_kmh=(80,) * 6))
    assert six <= 9 * one


def test_a_grid_twice_as_fine_stays_below_cubic_growth():
    coarse, fine = side_by_side(
        lambda: demand(**BODY, speeds_kmh=(80,), grid_m=2.0), lambda: demand(**BODY, speeds_kmh=(80,), grid_m=1.0)
    )
    assert fine <= 8 * coarse
