import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.course import CAUTION, lay_out
from vehicles.calculations.errors import CalculationError

WIDTHS_MM = st.floats(min_value=1000, max_value=2600)
DATUM = st.sampled_from(["right_edge", "centre"])


# Source: course of ISO 3888-1 as two public sources print it, to 0.01 m.
@pytest.mark.parametrize(("width_mm", "printed"), [(1800, (2.23, 2.41, 2.59, 2.59)), (1900, (2.34, 2.53, 2.72, 2.72))])
def test_section_widths_as_printed(width_mm, printed):
    widths = [s.width_m for s in lay_out(width_mm=width_mm).sections if s.width_m is not None]
    assert widths == pytest.approx(printed, abs=0.0051)


# Source: full edge coordinates captioned to the 2018 edition, w = 1.8 m: 3.50 to 5.91 m, gap 1.27 m.
def test_edges_of_the_side_lane_as_printed():
    first, _, third, *_ = lay_out(width_mm=1800).sections
    assert (third.right_y_m, third.left_y_m) == pytest.approx((3.50, 5.91), abs=0.0051)
    assert third.right_y_m - first.left_y_m == pytest.approx(1.27, abs=0.0051)


# Source: the same, w = 1.9 m: gap 1.16 m.
def test_gap_between_lanes_at_another_width():
    first, _, third, *_ = lay_out(width_mm=1900).sections
    assert third.right_y_m - first.left_y_m == pytest.approx(1.16, abs=0.0051)


# Source: section lengths 15/30/25/25/15/15 m, two public sources.
def test_sections_follow_one_another_over_125_m():
    course = lay_out(width_mm=1885)
    assert [s.length_m for s in course.sections] == [15, 30, 25, 25, 15, 15]
    assert [s.start_m for s in course.sections] == [0, 15, 45, 70, 95, 110]
    assert course.sections[-1].end_m == course.length_m == 125
    assert [s.number for s in course.sections if s.width_m is None] == [2, 4]


def test_eighteen_cones_at_start_middle_and_end_of_each_side():
    course = lay_out(width_mm=1885)
    assert [cone.x_m for cone in course.cones[::2]] == [0, 7.5, 15, 45, 57.5, 70, 95, 110, 125]
    assert {cone.side for cone in course.cones} == {"right", "left"}
    assert len(course.cones) == 18
    assert (course.cones[0].x_m, course.cones[0].y_m, course.cones[0].section) == (0, 0, 1)
    assert [cone.section for cone in course.cones[12::2]] == [5, 5, 6]


def test_every_cone_stands_on_a_boundary_of_its_section():
    course = lay_out(width_mm=2100, datum="centre")
    for cone in course.cones:
        section = course.sections[cone.section - 1]
        assert cone.y_m == (section.right_y_m if cone.side == "right" else section.left_y_m)
        assert section.start_m <= cone.x_m <= section.end_m


@given(width_mm=WIDTHS_MM)
def test_the_two_datums_differ_by_a_twentieth_of_the_width(width_mm):
    edge = lay_out(width_mm=width_mm).sections[2].right_y_m
    centre = lay_out(width_mm=width_mm, datum="centre").sections[2].right_y_m
    assert edge - centre == pytest.approx(0.05 * width_mm / 1000)


@given(width_mm=WIDTHS_MM, offset_m=st.floats(min_value=0, max_value=10))
def test_centre_datum_puts_the_offset_between_centre_lines(width_mm, offset_m):
    lanes = lay_out(width_mm=width_mm, offset_m=offset_m, datum="centre").lanes
    middles = [(lane.right_y_m + lane.left_y_m) / 2 for lane in lanes]
    assert middles[1] - middles[0] == pytest.approx(offset_m)
    assert middles[2] == pytest.approx(middles[0])


@given(narrow=WIDTHS_MM, wide=WIDTHS_MM, datum=DATUM)
def test_widths_grow_with_the_vehicle(narrow, wide, datum):
    narrow, wide = sorted((narrow, wide))
    pairs = zip(lay_out(width_mm=narrow, datum=datum).lanes, lay_out(width_mm=wide, datum=datum).lanes, strict=True)
    assert all(a.width_m <= b.width_m for a, b in pairs)


@given(width_mm=WIDTHS_MM, datum=DATUM)
def test_every_lane_is_wider_than_the_vehicle(width_mm, datum):
    course = lay_out(width_mm=width_mm, datum=datum)
    assert all(lane.width_m > width_mm / 1000 + 0.25 for lane in course.lanes)


def test_the_course_carries_its_caution_and_its_workings():
    course = lay_out(width_mm=1800)
    assert course.cautions == (CAUTION,)
    assert "confirm against your copy" in CAUTION
    assert [w.value for w in course.workings] == [lane.width_m for lane in course.lanes]
    assert course.workings[2].quantity == "Width of sections 5 and 6"


@pytest.mark.parametrize("width_mm", [999, 2601, float("nan"), float("inf")])
def test_a_width_no_light_vehicle_has_is_refused(width_mm):
    with pytest.raises(CalculationError, match=r"overall_width_mm: .* is outside 1,000 to 2,600 mm"):
        lay_out(width_mm=width_mm)


def test_offset_out_of_range_is_refused():
    with pytest.raises(CalculationError, match=r"offset_m: -0\.1 is outside 0 to 10 m"):
        lay_out(width_mm=1800, offset_m=-0.1)


def test_an_unknown_datum_is_refused():
    with pytest.raises(CalculationError, match="datum: 'left_edge' is outside right_edge or centre"):
        lay_out(width_mm=1800, datum="left_edge")
