"""The loading plan as a drawing: to scale, numbered as its list, everything on the sheet."""

from xml.etree import ElementTree

import pytest

from tests.calculations.measured_cases import PLACES, worked
from vehicles.loading_drawing import BODY, Body, loading_drawing, spots_of

SVG = "{http://www.w3.org/2000/svg}"
BRAKES = {"kind": "brake_change"}
WAGON = Body(width_mm=1885, wheelbase_mm=2790, length_mm=4825, front_overhang_mm=900, driver_x_mm=1340)


def plan_of(mass="tm2", **changes):
    return worked(BRAKES, **changes).as_dict()["ballast"][mass]["plan"]


def drawn(plan, body=WAGON):
    return ElementTree.fromstring(loading_drawing(plan=plan, body=body, title="Test Mass 2"))  # noqa: S314 our own


def words(svg):
    return [text.text for text in svg.iter(f"{SVG}text")]


def test_every_loaded_spot_is_numbered_from_front_to_rear():
    spots = spots_of(plan_of())
    assert [(spot.number, spot.mass_kg) for spot in spots] == [(1, 65), (2, 65), (3, 65), (4, 65), (5, 68)]
    assert [spot.places for spot in spots] == [
        ("row 1, left, floor",),
        ("row 2, left, floor",),
        ("row 2, middle, floor",),
        ("row 2, right, floor",),
        ("luggage area",),
    ]


def test_masses_axles_and_driver_are_written_on_it():
    found = words(drawn(plan_of()))
    assert found.count("65 kg") == 4 and {"68 kg", "driver", "front", "Front axle", "Rear axle"} <= set(found)
    assert {"1", "2", "3", "4", "5"} <= set(found)


def test_floor_and_seat_of_one_spot_count_together():
    plan = plan_of()
    plan["places"][1]["mass_kg"] = 20.0
    first = spots_of(plan)[0]
    assert (first.mass_kg, len(first.places)) == (85, 2)


def test_one_scale_along_and_across():
    svg = drawn(plan_of())
    outline = next(svg.iter(f"{SVG}rect"))
    assert float(outline.get("width")) == BODY
    assert float(outline.get("height")) / BODY == pytest.approx(4825 / 1885, abs=0.001)


@pytest.mark.parametrize(
    ("changes", "body"),
    [
        ({}, WAGON),
        ({"adr_category": "NA"}, WAGON),
        ({"rows": None, "places": PLACES | {"seats_x_mm": 2000}}, Body(width_mm=1885, wheelbase_mm=2790)),
        ({"rows": [{"x_mm": 1340, "seats": 1}, {"x_mm": 2230, "seats": 4}]}, WAGON),
    ],
)
def test_everything_lies_on_the_sheet(changes, body):
    svg = drawn(plan_of(**changes), body)
    _, _, width, height = map(float, svg.get("viewBox").split())
    for box in svg.iter(f"{SVG}rect"):
        x, y, w, h = (float(box.get(name)) for name in ("x", "y", "width", "height"))
        assert x >= 0 and y >= 0 and x + w <= width and y + h <= height
    for text in svg.iter(f"{SVG}text"):
        assert 0 <= float(text.get("x")) <= width and 0 <= float(text.get("y")) <= height


def test_says_in_words_what_it_shows():
    assert "1: 65 kg at row 1, left, floor" in drawn(plan_of()).get("aria-label")
