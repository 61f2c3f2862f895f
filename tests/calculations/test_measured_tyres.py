"""Tyres that somebody measured: what the sizes leave undecided is decided, and a slip is caught."""

import pytest

from tests.calculations.cases import done, lift, raw
from vehicles.calculations.errors import CalculationError, CaseError
from vehicles.calculations.parse_case import parse_case
from vehicles.calculations.tyre_spread import MEASURE, other_readings
from vehicles.calculations.tyres import as_measured, compare, read_tyre


def tyres(to="285/70R17", **measured):
    return {"kind": "tyre_change", "to": to, **measured}


# By hand: 47.5 mm of springs and half of 54.5 mm by the exact sizes are 74.75 mm, half of 56 mm by the
# handbook 75.5 mm; NSW's limit is 75 mm. Measured, half of 826 − 771 mm makes it 75.0, half of 828 − 771 mm 76.0;
# with the new tyre alone at 831.2 mm it is 74.95 mm from the exact, 75.1 mm from the handbook's original.
@pytest.mark.parametrize(
    ("measured", "crossed"),
    [
        ({}, None),
        ({"to_diameter_mm": 831.2}, None),
        ({"from_diameter_mm": 771, "to_diameter_mm": 826}, False),
        ({"from_diameter_mm": 771, "to_diameter_mm": 828}, True),
    ],
)
def test_measured_tyres_decide_what_the_sizes_leave_open(measured, crossed):
    found = done(lift(47.5), tyres(**measured))
    total = next(check for check in found.limits if check.name == "uncertified.total_mm")
    assert total.crossed is crossed
    assert (MEASURE in found.undecided) is (crossed is None)


def test_a_flotation_size_that_was_measured_is_no_longer_nominal():
    named = compare(before=read_tyre("265/65R17"), after=read_tyre("33x12.50R17"))
    known = compare(
        before=as_measured(read_tyre("265/65R17"), diameter_mm=770),
        after=as_measured(read_tyre("33x12.50R17"), diameter_mm=827),
    )
    assert other_readings(named) and other_readings(known) == ()
    assert (known.rise_mm, known.change_percent) == (28.5, pytest.approx(100 * 57 / 770))
    assert known.true_at_100_kmh == pytest.approx(100 * 827 / 770)


def test_one_measured_size_leaves_the_handbook_to_the_other():
    found = compare(before=read_tyre("265/65R17"), after=as_measured(read_tyre("285/70R17"), diameter_mm=826))
    assert [item.change_mm for item in other_readings(found)] == [826 - 776]


def test_the_screen_says_which_diameter_was_measured():
    found = done(tyres(to_diameter_mm=826)).height.workings
    assert found[0].formula.startswith("25.4 × rim") and found[1].formula == "as measured, fitted and inflated"
    assert found[1].value == 826


@pytest.mark.parametrize("diameter", [763.9, 897.4, 415, float("nan"), float("inf")])
def test_a_radius_or_another_tyre_is_refused(diameter):
    """By hand: 830.8 mm less and more 8 % are 764.3 and 897.3 mm."""
    with pytest.raises(CalculationError, match="764 to 897 mm for 285/70R17"):
        as_measured(read_tyre("285/70R17"), diameter_mm=diameter)


def test_a_diameter_against_its_size_is_a_contradiction_of_the_case():
    with pytest.raises(CaseError) as refused:
        parse_case(raw(tyres(from_diameter_mm=600, to_diameter_mm=826)))
    (problem,) = refused.value.problems
    assert problem.path == "modifications[0].from_diameter_mm" and "714 to 838 mm for 265/65R17" in problem.message


def test_without_the_sizes_a_diameter_says_nothing():
    found = done({"kind": "tyre_change", "to_diameter_mm": 826})
    assert found.height.tyres is None and any(".to: the size now fitted" in text for text in found.undecided)
