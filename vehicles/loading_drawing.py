"""The loading plan from above, to scale: places with what lies there, axles with what they carry."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from vehicles.calculations.loading_places import PAIR
from vehicles.calculations.wording import fixed
from vehicles.svg import box, drawing, line, text

WIDTH, TOP, BOTTOM = 360.0, 34.0, 22.0
BODY = 190.0  # what the widest part of the vehicle takes of the drawing
TEXT, SMALL = 14, 11
SEAT_M, TALL_M = 0.40, 0.50


@dataclass(frozen=True, kw_only=True)
class Body:
    """The vehicle as far as it is known [mm]; the front is at the top of the drawing."""

    width_mm: float
    wheelbase_mm: float
    length_mm: float | None = None
    front_overhang_mm: float | None = None
    driver_x_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class Spot:
    """One number of the drawing: places one above the other, floor and seat, count together."""

    number: int
    x_mm: float
    y_mm: float
    mass_kg: float
    places: tuple[str, ...]


def spots_of(plan: Mapping[str, Any]) -> list[Spot]:
    """The loaded spots of a plan, numbered from front to rear and from left to right.

    Parameters: a plan as a work-up gives it [mm, kg]. Returns: spots with their places by name.
    """
    found: dict[tuple[float, float], list[Mapping[str, Any]]] = {}
    for place in plan["places"]:
        if place["mass_kg"]:
            found.setdefault((place["x_mm"], -place["y_mm"]), []).append(place)
    return [
        Spot(
            number=number,
            x_mm=x,
            y_mm=-right,
            mass_kg=sum(place["mass_kg"] for place in places),
            places=tuple(place["place"] for place in places),
        )
        for number, ((x, right), places) in enumerate(sorted(found.items()), start=1)
    ]


class _Sheet:
    """Where a point of the vehicle lies on the drawing; one scale along and across."""

    def __init__(self, body: Body, spots: Sequence[Spot]) -> None:
        self.scale = BODY / body.width_mm
        xs = [0.0, body.wheelbase_mm, *(spot.x_mm for spot in spots)]
        self.front_mm, self.rear_mm = min(xs) - 500, max(xs) + 500
        self.outline = body.length_mm is not None and body.front_overhang_mm is not None
        if body.length_mm is not None and body.front_overhang_mm is not None:
            self.nose_mm = -body.front_overhang_mm
            self.tail_mm = self.nose_mm + body.length_mm
            self.front_mm, self.rear_mm = min(self.front_mm, self.nose_mm), max(self.rear_mm, self.tail_mm)
        self.middle = 24 + BODY / 2

    def down(self, x_mm: float) -> float:
        return TOP + (x_mm - self.front_mm) * self.scale

    def across(self, y_mm: float) -> float:
        """The driver's left is left: the vehicle drives up the page."""
        return self.middle - y_mm * self.scale

    @property
    def height(self) -> float:
        return self.down(self.rear_mm) + BOTTOM


def loading_drawing(*, plan: Mapping[str, Any], body: Body, title: str) -> str:
    """The plan as an ``svg`` element: numbered places with their masses, axles with theirs.

    Parameters: a plan as a work-up gives it, the vehicle's body [mm], what it is called.
    Returns: text. Numbers are those of ``spots_of``.
    """
    spots = spots_of(plan)
    sheet = _Sheet(body, spots)
    parts = [
        text(sheet.middle, 14, "front", TEXT),
        *_outline(sheet, body),
        *_axle(sheet, body, 0.0, "Front axle", plan["front_axle_kg"]),
        *_axle(sheet, body, body.wheelbase_mm, "Rear axle", plan["rear_axle_kg"]),
        *_driver(sheet, body),
        *(part for spot in spots for part in _spot(sheet, spot, spots)),
    ]
    loads = ", ".join(f"{spot.number}: {fixed(spot.mass_kg, 0)} kg at {' and '.join(spot.places)}" for spot in spots)
    return drawing("loading", WIDTH, sheet.height, f"{title}, seen from above, front at the top. {loads}", parts)


def _outline(sheet: _Sheet, body: Body) -> Iterator[str]:
    if sheet.outline:
        top, half = sheet.down(sheet.nose_mm), body.width_mm / 2
        height = sheet.down(sheet.tail_mm) - top
        yield box(sheet.across(half), top, BODY, height, round_by=16)


def _axle(sheet: _Sheet, body: Body, x_mm: float, name: str, mass_kg: float) -> Iterator[str]:
    y, edge = sheet.down(x_mm), sheet.across(-body.width_mm / 2)
    yield line(sheet.across(body.width_mm / 2), y, edge + 14, y, thin=True, dashed=True)
    for side in (1, -1):
        yield box(sheet.across(side * (body.width_mm / 2 - 130)) - 9, y - 34, 18, 68, round_by=4, thin=True)
    yield text(edge + 20, y - 4, name, SMALL + 1, anchor="start")
    yield text(edge + 20, y + 13, f"{fixed(mass_kg, 0)} kg", TEXT, anchor="start")


def _driver(sheet: _Sheet, body: Body) -> Iterator[str]:
    if body.driver_x_mm is None:
        return
    x, y = sheet.across(-PAIR / 2 * body.width_mm), sheet.down(body.driver_x_mm)
    yield f'<circle cx="{x:g}" cy="{y:g}" r="15" fill="none" class="line" stroke="#15233f"/>'
    yield text(x, y + 30, "driver", SMALL)


def _spot(sheet: _Sheet, spot: Spot, spots: Sequence[Spot]) -> Iterator[str]:
    """A box as wide as its neighbours leave room for."""
    beside = [abs(other.y_mm - spot.y_mm) for other in spots if other.x_mm == spot.x_mm and other is not spot]
    wide = min([*(gap / 1000 for gap in beside), 0.9]) if beside else 0.9 if spot.y_mm == 0 else SEAT_M + 0.1
    width, height = wide * 1000 * sheet.scale - 4, TALL_M * 1000 * sheet.scale
    x, y = sheet.across(spot.y_mm), sheet.down(spot.x_mm)
    yield box(x - width / 2, y - height / 2, width, height, round_by=3)
    yield text(x, y - 6, str(spot.number), SMALL)
    yield text(x, y + 12, f"{fixed(spot.mass_kg, 0)} kg", TEXT)
