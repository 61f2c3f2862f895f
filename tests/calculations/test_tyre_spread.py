"""The other readings of a change of tyres: by the handbook, or half an inch below the name."""

import pytest

from vehicles.calculations.tyre_spread import NOMINAL_MM, other_readings
from vehicles.calculations.tyres import compare, read_tyre

METRIC, INCHES, OTHER_INCHES = "265/65R17", "33x12.50R17LT", "35x12.50R17LT"


def changes(before, after):
    return [item.change_mm for item in other_readings(compare(before=read_tyre(before), after=read_tyre(after)))]


def test_a_metric_size_replaces_one_in_inches():
    # By hand: 776.3 − 33 × 25.4 = −61.9 mm by name; the old tyre may have been half an inch smaller.
    assert changes(INCHES, METRIC) == pytest.approx([776.3 - 33 * 25.4 + NOMINAL_MM])


def test_two_sizes_in_inches_may_each_be_smaller():
    # By hand: two inches by name, half an inch less or more.
    assert changes(INCHES, OTHER_INCHES) == pytest.approx([50.8 - NOMINAL_MM, 50.8 + NOMINAL_MM])


def test_without_a_change_there_is_nothing_to_read_otherwise():
    assert other_readings(None) == ()
    assert changes(METRIC, METRIC) == []
