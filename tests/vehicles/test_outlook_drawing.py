"""Demand against limits as a drawing."""

from xml.etree import ElementTree

import pytest

from tests.calculations.measured_cases import worked
from vehicles.outlook_drawing import outlook_drawing

SVG = "{http://www.w3.org/2000/svg}"
BRAKES = {"kind": "brake_change"}


def drawn(**changes):
    data = worked(BRAKES, with_demand=True, **changes).as_dict()
    return data, ElementTree.fromstring(  # noqa: S314 our own text
        outlook_drawing(demand=data["demand"], stability=data["stability"])
    )


def words(svg):
    return [text.text for text in svg.iter(f"{SVG}text")]


def points(line):
    return [tuple(map(float, pair.split(","))) for pair in line.get("points").split()]


def test_the_two_curves_are_demand_and_seventeen_tenths_of_it():
    data, svg = drawn(cg_height_mm=760)
    low, high = (points(line) for line in svg.iter(f"{SVG}polyline"))
    assert len(low) == len(high) == len(data["demand"])
    zero = next(float(text.get("y")) - 4 for text in svg.iter(f"{SVG}text") if text.text == "0.0")
    for (_, y), (_, y17) in zip(low, high, strict=True):
        assert (zero - y17) / (zero - y) == pytest.approx(1.7, abs=0.02)


def test_limits_carry_their_numbers_and_an_estimate_says_so():
    data, svg = drawn(cg_height_mm=760)
    lowest = min(data["stability"][mass]["threshold_low_g"] for mass in ("tm1", "tm2"))
    assert {"grip 0.65 g", f"roll {lowest:.2f} g", "demand", "× 1.7"} <= set(words(svg))
    assert any(", est." in text for text in words(drawn()[1]))


def test_thresholds_far_apart_are_drawn_each():
    data, _ = drawn(cg_height_mm=760)
    data["stability"]["tm2"]["threshold_low_g"] = data["stability"]["tm1"]["threshold_low_g"] - 0.2
    text = outlook_drawing(demand=data["demand"], stability=data["stability"])
    assert "roll TM1" in text and "roll TM2" in text


def test_without_any_threshold_grip_alone_is_drawn():
    _, svg = drawn(overall_height_mm=None)
    assert not any("roll" in text for text in words(svg))
    assert "grip 0.65 g" in words(svg)


def test_everything_lies_on_the_sheet():
    _, svg = drawn(cg_height_mm=760)
    _, _, width, height = map(float, svg.get("viewBox").split())
    for text in svg.iter(f"{SVG}text"):
        assert 0 <= float(text.get("x")) <= width and 0 <= float(text.get("y")) <= height
