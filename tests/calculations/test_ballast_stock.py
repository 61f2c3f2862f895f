import pytest

from vehicles.calculations.ballast_stock import BallastStock
from vehicles.calculations.errors import CaseError
from vehicles.reference import ballast_stock

GOOD = {
    "edition": "test",
    "source": "counted",
    "pieces": [{"key": "bag", "mass_kg": 20, "count": 4}],
    "most_kg": {"floor": 80, "seat": 80, "luggage": 200, "bed": 1000},
}


def problems(**changes):
    with pytest.raises(CaseError) as refused:
        BallastStock.from_data(GOOD | changes)
    return {problem.path: problem.message for problem in refused.value.problems}


def test_the_stock_that_comes_with_the_project_is_usable():
    stock = ballast_stock()
    assert {piece.mass_kg for piece in stock.pieces} >= {10, 20, 25}
    assert stock.source


def test_a_good_stock_is_read():
    stock = BallastStock.from_data(GOOD)
    assert (stock.pieces[0].mass_kg, stock.pieces[0].count, stock.most_kg["bed"]) == (20, 4, 1000)


@pytest.mark.parametrize(
    ("changes", "path", "words"),
    [
        ({"pieces": []}, "pieces", "at least one kind"),
        ({"pieces": "bags"}, "pieces", "at least one kind"),
        ({"pieces": [{"mass_kg": 20, "count": 4}]}, "pieces[0].key", "text is needed"),
        ({"pieces": [{"key": "bag", "count": 4}]}, "pieces[0].mass_kg", "0.5 to 200 kg"),
        ({"pieces": [{"key": "bag", "mass_kg": 0.1, "count": 4}]}, "pieces[0].mass_kg", "0.5 to 200 kg"),
        ({"pieces": [{"key": "bag", "mass_kg": 20, "count": 4.5}]}, "pieces[0].count", "whole numbers"),
        ({"pieces": GOOD["pieces"] * 2}, "pieces", "stands twice"),
        ({"most_kg": {"floor": 80}}, "most_kg.bed", "missing"),
        ({"most_kg": GOOD["most_kg"] | {"roof": 50}}, "most_kg.roof", "unknown key"),
        ({"edition": " "}, "edition", "text is needed"),
        ({"colour": "grey"}, "colour", "unknown key"),
    ],
)
def test_what_is_wrong_is_named_by_its_path(changes, path, words):
    assert words in problems(**changes)[path]


def test_every_problem_at_once():
    assert set(problems(edition=None, source=None, pieces=[{}])) == {
        "edition",
        "source",
        "pieces[0].key",
        "pieces[0].mass_kg",
        "pieces[0].count",
    }
