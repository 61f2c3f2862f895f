"""Two paths held against each other; source of the expected values: paths made for the test."""

import pytest

from vehicles.calculations.errors import CalculationError
from vehicles.calculations.run_comparison import paths_apart

X = [float(x) for x in range(0, 126, 5)]
STRAIGHT = [1.2 + 0.02 * x for x in X]


def test_a_path_shifted_sideways_is_apart_by_the_shift():
    found = paths_apart(x_m=X, first_y_m=STRAIGHT, second_y_m=[y - 0.1 for y in STRAIGHT])
    assert found.apart_m == pytest.approx(0.1)


def test_the_place_is_where_the_paths_lie_furthest_apart_whichever_comes_first():
    bulged = [y - 0.4 * (x == 60) + 0.3 * (x == 90) for x, y in zip(X, STRAIGHT, strict=True)]
    for first, second in ((STRAIGHT, bulged), (bulged, STRAIGHT)):
        found = paths_apart(x_m=X, first_y_m=first, second_y_m=second)
        assert (found.apart_m, found.at_m) == (pytest.approx(0.4), 60.0)


def test_a_path_with_itself_is_nowhere_apart():
    assert paths_apart(x_m=X, first_y_m=STRAIGHT, second_y_m=STRAIGHT).apart_m == 0


@pytest.mark.parametrize("hidden", [0, 12, -1])
def test_what_a_drop_out_hides_may_be_the_greatest(hidden):
    holed = list(STRAIGHT)
    holed[hidden] = None
    assert paths_apart(x_m=X, first_y_m=STRAIGHT, second_y_m=holed) is None
    assert paths_apart(x_m=X, first_y_m=holed, second_y_m=STRAIGHT) is None


@pytest.mark.parametrize(
    ("x", "first", "second"), [([], [], []), (X, STRAIGHT[:-1], STRAIGHT), (X[1:], STRAIGHT, STRAIGHT)]
)
def test_places_and_paths_belong_together(x, first, second):
    with pytest.raises(CalculationError, match="one value of each path for each place"):
        paths_apart(x_m=x, first_y_m=first, second_y_m=second)
