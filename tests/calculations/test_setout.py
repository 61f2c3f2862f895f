from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.course import CAUTION, lay_out
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.setout import sheet

COURSE = lay_out(width_mm=1800)


def test_every_cone_has_a_station_and_an_offset_from_one_baseline():
    found = sheet(course=COURSE, cone_base_mm=300)
    assert [mark.number for mark in found.marks] == list(range(1, 19))
    for mark, cone in zip(found.marks, COURSE.cones, strict=True):
        assert (mark.station_m, mark.limit_m, mark.side) == (cone.x_m, cone.y_m, cone.side)
        outwards = 0.15 if cone.side == "left" else -0.15
        assert mark.offset_m == pytest.approx(cone.y_m + outwards)


# Source: lane limits are tangent to the cone bases: the free width is the width of the section.
@given(width_mm=st.floats(min_value=1000, max_value=2600), base_mm=st.floats(min_value=0, max_value=600))
def test_between_the_bases_lies_the_width_of_the_section(width_mm, base_mm):
    course = lay_out(width_mm=width_mm)
    marks = sheet(course=course, cone_base_mm=base_mm).marks
    for right, left in zip(marks[::2], marks[1::2], strict=True):
        free = left.offset_m - right.offset_m - base_mm / 1000
        assert free == pytest.approx(course.sections[right.section - 1].width_m)


# Source: Pythagoras by hand, w = 1.8 m, no base: lane 1 is 15 × 2.23 m; lanes tied over 30 × 3.5 m.
def test_diagonals_by_hand():
    found = sheet(course=COURSE, cone_base_mm=0)
    lengths = [diagonal.length_m for diagonal in found.diagonals]
    assert lengths[0] == lengths[1] == pytest.approx(sqrt(15**2 + 2.23**2))
    assert lengths[2] == lengths[3] == pytest.approx(sqrt(25**2 + 2.41**2))
    assert lengths[4] == lengths[5] == pytest.approx(sqrt(30**2 + 2.59**2))
    assert lengths[6:] == pytest.approx([sqrt(30**2 + 3.5**2), sqrt(25**2 + 3.5**2)])


def test_a_diagonal_may_be_out_by_what_two_cones_may_be():
    found = sheet(course=COURSE, tolerance_mm=25)
    assert {diagonal.tolerance_m for diagonal in found.diagonals} == {0.05}
    assert found.tolerance_mm == 25


def test_a_cone_out_of_place_shows_in_a_diagonal():
    """A cone 100 mm off along the course shows in its diagonals; that is what they are for."""
    found = sheet(course=COURSE)
    marks = {mark.number: mark for mark in found.marks}
    diagonal = found.diagonals[0]
    first, second = marks[diagonal.first], marks[diagonal.second]
    moved = sqrt((second.station_m + 0.1 - first.station_m) ** 2 + (second.offset_m - first.offset_m) ** 2)
    assert moved - diagonal.length_m > diagonal.tolerance_m


def test_the_triangle_has_a_right_angle():
    a, b, c = sheet(course=COURSE).triangle_m
    assert a**2 + b**2 == c**2


def test_area_is_length_times_outermost_width():
    found = sheet(course=COURSE, side_margin_m=1)
    assert found.width_m == pytest.approx(3.5 + 2.41 + 2)
    assert found.area_m2 == pytest.approx(125 * found.width_m)


def test_the_sheet_carries_its_steps_and_the_caution():
    found = sheet(course=COURSE)
    assert len(found.steps) == 6
    assert found.cautions == (CAUTION,)


def test_the_points_of_a_log_lie_on_the_line_and_no_middle_of_a_cone_does():
    """A position taken at the middle of the first cone would shift every margin by half a base."""
    found = sheet(course=COURSE)
    assert found.marks[0].limit_m == 0
    assert found.marks[0].offset_m == pytest.approx(-0.15)
    assert "on the string line, at x = 0 and well along it, not at the middle of a cone" in found.steps[-1]


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"cone_base_mm": 700}, "cone_base_mm: 700"),
        ({"tolerance_mm": 0}, "tolerance_mm: 0"),
        ({"side_margin_m": float("nan")}, "side_margin_m: nan"),
    ],
)
def test_what_cannot_be_is_refused(wrong, named):
    with pytest.raises(CalculationError, match=named):
        sheet(course=COURSE, **wrong)
