"""Line drawings from computed results. Plain SVG text: no files, no scripts, no styles of its own."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from vehicles.calculations.wording import fixed

UNITS_PER_M = 8
CONE_RADIUS = 2.4
LEFT, RIGHT, ABOVE, BELOW = 20, 30, 40, 96
LANES = ((1, 1), (3, 3), (5, 6))
TEXT, SMALL = 14, 11


@dataclass(frozen=True, kw_only=True)
class _Sheet:
    """Where a point of the course lies on the drawing; one scale along and across."""

    length_m: float
    top_m: float

    def x(self, x_m: float) -> float:
        return LEFT + x_m * UNITS_PER_M

    def y(self, y_m: float) -> float:
        """The driver's left is up: SVG counts downwards."""
        return ABOVE + (self.top_m - y_m) * UNITS_PER_M

    @property
    def width(self) -> float:
        return LEFT + self.length_m * UNITS_PER_M + RIGHT

    @property
    def height(self) -> float:
        return self.y(0) + BELOW


def course_drawing(course: Mapping[str, Any]) -> str:
    """The course to scale, seen from above, driven from left to right.

    Parameters: the course as a work-up gives it: ``length_m``, ``offset_m``, ``sections`` and
    ``cones`` [m]. Returns: an ``svg`` element as text; cones are numbered in the order of the list
    and drawn larger than they are.

    >>> from dataclasses import asdict
    >>> from vehicles.calculations.course import lay_out
    >>> course_drawing(asdict(lay_out(width_mm=1800))).count('class="cone"')
    18
    """
    cones, sections = course["cones"], course["sections"]
    sheet = _Sheet(length_m=course["length_m"], top_m=max(cone["y_m"] for cone in cones))
    parts = [
        *_lanes(sheet, cones, sections),
        *_lengths(sheet, sections, course["length_m"]),
        *_offset(sheet, cones),
        *_cones(sheet, cones),
        *_direction(sheet),
    ]
    label = (
        f"Course of {course['length_m']:g} m to scale: six sections, {len(cones)} cones, "
        f"side lane offset {course['offset_m']:g} m to the left"
    )
    box = f"0 0 {sheet.width:g} {sheet.height:g}"
    opening = f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing course" role="img" viewBox="{box}"'
    return "\n".join([f"{opening} aria-label={quoteattr(label)}>", *parts, "</svg>"])


def _edges(cones: Sequence[Mapping[str, Any]], sections: tuple[int, int]) -> tuple[float, float, float, float]:
    """Start, end, right and left edge of a lane [m], from its own cones."""
    own = [cone for cone in cones if sections[0] <= cone["section"] <= sections[1]]
    along = [cone["x_m"] for cone in own]
    right, left = (next(cone["y_m"] for cone in own if cone["side"] == side) for side in ("right", "left"))
    return min(along), max(along), right, left


def _lanes(sheet: _Sheet, cones: Sequence[Mapping[str, Any]], sections: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    widths = {section["number"]: section["width_m"] for section in sections}
    for lane in LANES:
        start, end, right, left = _edges(cones, lane)
        for y_m in (right, left):
            yield _line(sheet.x(start), sheet.y(y_m), sheet.x(end), sheet.y(y_m), dashed=True)
        middle = sheet.y((right + left) / 2) + TEXT / 3
        yield _text((sheet.x(start) + sheet.x(end)) / 2, middle, f"{fixed(widths[lane[0]], 3)} m wide", SMALL + 1)


def _lengths(sheet: _Sheet, sections: Sequence[Mapping[str, Any]], length_m: float) -> Iterator[str]:
    chain, total = sheet.y(0) + 40, sheet.y(0) + 70
    ends = [0.0]
    for section in sections:
        start, end = section["start_m"], section["start_m"] + section["length_m"]
        ends.append(end)
        yield from _dimension(sheet.x(start), sheet.x(end), chain, f"{section['length_m']:g} m")
        yield _text(sheet.x((start + end) / 2), 16, f"Section {section['number']}", TEXT)
    for end_m in ends:
        yield _line(sheet.x(end_m), 24, sheet.x(end_m), total + 4, thin=True)
    yield from _dimension(sheet.x(0), sheet.x(length_m), total, f"{length_m:g} m")


def _dimension(start: float, end: float, y: float, words: str) -> Iterator[str]:
    yield _line(start, y, end, y, thin=True)
    for x in (start, end):
        yield _line(x - 3, y + 3, x + 3, y - 3)
    yield _text((start + end) / 2, y + TEXT + 2, words, TEXT)


def _offset(sheet: _Sheet, cones: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Between the right boundaries of sections 1 and 3, whatever datum the course was laid out by."""
    _, end, first, _ = _edges(cones, LANES[0])
    start, _, third, _ = _edges(cones, LANES[1])
    x = sheet.x(start) - 24
    yield _line(sheet.x(end), sheet.y(first), x + 6, sheet.y(first), thin=True)
    yield _line(x - 6, sheet.y(third), sheet.x(start), sheet.y(third), thin=True)
    yield _line(x, sheet.y(first), x, sheet.y(third), thin=True)
    for y_m in (first, third):
        yield _line(x - 3, sheet.y(y_m) + 3, x + 3, sheet.y(y_m) - 3)
    yield _text(x - 6, sheet.y((first + third) / 2) + 4, f"{fixed(third - first, 3)} m", TEXT, anchor="end")


def _cones(sheet: _Sheet, cones: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    for number, cone in enumerate(cones, start=1):
        outward = -CONE_RADIUS if cone["side"] == "left" else CONE_RADIUS
        x, y = sheet.x(cone["x_m"]), sheet.y(cone["y_m"]) + outward
        yield f'<circle class="cone" cx="{x:g}" cy="{y:g}" r="{CONE_RADIUS:g}" fill="#15233f"/>'
        yield _text(x + 5, y + (outward > 0) * 12 - (outward < 0) * 4, str(number), SMALL, anchor="start")


def _direction(sheet: _Sheet) -> Iterator[str]:
    y = sheet.y(sheet.top_m * 0.8)
    tip = sheet.x(11)
    yield _line(sheet.x(1), y, tip, y)
    yield f'<path d="M{tip:g} {y - 4:g} l8 4 l-8 4 z" fill="#15233f"/>'
    yield _text(sheet.x(1), y - 6, "direction", SMALL, anchor="start")


# Where each place of the loading plan lies on a vehicle seen from above, 300 units long; not to scale.
_SEATED = {
    "fuel": (196, 70, 60, 30),
    "instruments": (86, 12, 44, 34),
    "equipment": (262, 66, 54, 34),
    "driver": (110, 64, 42, 36),
    "driver_ballast": (110, 102, 42, 14),
    "seats": (158, 12, 34, 88),
    "luggage": (262, 14, 54, 40),
    "goods": (200, 14, 58, 52),
}
_VEHICLE = (30, 4, 300, 116)


def places_drawing(places: Sequence[Mapping[str, Any]], *, title: str) -> str:
    """What belongs where, as boxes on a vehicle seen from above, its front to the left; not to scale.

    Parameters: places with ``key``, ``title``, ``kg`` planned and ``loaded_kg`` or None; a title.
    Returns: an ``svg`` element as text, each box with a number that the list below it explains.

    >>> seats = {"key": "seats", "title": "Seats", "kg": 260, "loaded_kg": None}
    >>> places_drawing([seats], title="Test Mass 2").count("<rect")
    2
    """
    x, y, width, height = _VEHICLE
    parts = [_box(x, y, width, height, thin=True), _text(x + 6, y + height / 2 + 4, "front", SMALL, anchor="start")]
    for number, place in enumerate(places, start=1):
        left, top, wide, high = _SEATED[place["key"]]
        parts += [_box(left, top, wide, high), _text(left + wide / 2, top + high / 2 + 4, str(number), SMALL)]
    for number, place in enumerate(places, start=1):
        words = f"{number}  {place['title']}: {place['kg']:,.1f} kg"
        if place["loaded_kg"] is not None:
            words += f", loaded {place['loaded_kg']:,.1f} kg"
        parts.append(_text(30, y + height + 6 + number * 17, words, TEXT - 1, anchor="start"))
    box = f"0 0 360 {y + height + 16 + len(places) * 17:g}"
    label = quoteattr(f"{title}: " + "; ".join(f"{place['title']} {place['kg']:,.1f} kg" for place in places))
    opening = f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" viewBox="{box}" aria-label={label}>'
    return "\n".join([opening, *parts, "</svg>"])


def _box(x: float, y: float, width: float, height: float, *, thin: bool = False) -> str:
    look = 'class="thin" stroke="#4d5870" rx="14"' if thin else 'class="line" stroke="#15233f" rx="3"'
    return f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" {look} fill="none"/>'


def _line(x1: float, y1: float, x2: float, y2: float, *, thin: bool = False, dashed: bool = False) -> str:
    look = 'class="thin" stroke="#4d5870" stroke-width="0.5"' if thin else 'class="line" stroke="#15233f"'
    dashes = ' stroke-dasharray="6 4"' if dashed else ""
    return f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" {look}{dashes}/>'


def _text(x: float, y: float, words: str, size: float, *, anchor: str = "middle") -> str:
    place = f'x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}" fill="#15233f"'
    return f"<text {place}>{escape(words)}</text>"
