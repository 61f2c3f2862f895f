"""The course drawing is to scale and carries its dimensions."""

from dataclasses import asdict
from xml.etree import ElementTree

import pytest

from vehicles.calculations.course import lay_out
from vehicles.drawings import CONE_RADIUS, UNITS_PER_M, course_drawing

SVG = "{http://www.w3.org/2000/svg}"


def drawn(**kwargs):
    return ElementTree.fromstring(course_drawing(asdict(lay_out(**kwargs))))  # noqa: S314 our own text


def cone_points(svg):
    """Centre of every cone, moved back to where its base touches the lane."""
    return [(float(c.get("cx")), float(c.get("cy"))) for c in svg.iter(f"{SVG}circle")]


def words(svg):
    return [text.text for text in svg.iter(f"{SVG}text")]


def test_eighteen_cones_at_one_scale_along_and_across():
    # Source: ISO 3888-1 as two independent public sources give it; w = 1.8 m: section 3 from 3.50 to 5.91 m.
    points = cone_points(drawn(width_mm=1800))
    assert len(points) == 18
    along = {round((x - points[0][0]) / UNITS_PER_M, 2) for x, _ in points}
    assert along == {0, 7.5, 15, 45, 57.5, 70, 95, 110, 125}
    (_, right_1), (_, right_3), (_, left_3) = points[0], points[6], points[7]
    assert (right_1 - right_3) / UNITS_PER_M == pytest.approx(3.5)
    assert (right_1 - left_3 - 2 * CONE_RADIUS) / UNITS_PER_M == pytest.approx(5.91, abs=0.005)


def test_dimensions_carry_their_units():
    found = words(drawn(width_mm=1900))
    # Source: same; w = 1.9 m: 2.34, 2.53, 2.72 m.
    assert {"2.340 m wide", "2.530 m wide", "2.720 m wide", "3.500 m", "15 m", "30 m", "25 m", "125 m"} <= set(found)
    assert [text for text in found if text.startswith("Section")] == [f"Section {n}" for n in range(1, 7)]


def test_everything_lies_on_the_sheet():
    svg = drawn(width_mm=2600, datum="centre")
    _, _, width, height = map(float, svg.get("viewBox").split())
    for element in [*svg.iter(f"{SVG}text"), *svg.iter(f"{SVG}circle")]:
        x, y = (float(element.get(a) or element.get(f"c{a}")) for a in "xy")
        assert 0 <= x <= width and 0 <= y <= height


def test_centre_datum_draws_the_distance_between_the_right_edges():
    found = words(drawn(width_mm=1800, datum="centre"))
    # Centre to centre 3.5 m, lanes 2.23 and 2.41 m: right edges 3.5 − 0.09 m apart.
    assert "3.410 m" in found


def test_says_in_words_what_it_shows():
    assert "125 m" in drawn(width_mm=1800).get("aria-label")
