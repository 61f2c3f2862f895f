"""The cones of the course as a driver meets them, one pair below the other: not to scale, to be tapped with a thumb."""

from collections.abc import Mapping
from itertools import groupby
from typing import Any

from vehicles.svg import INK, drawing, line, text

WIDTH, TOP, BOTTOM = 340.0, 18.0, 44.0
PITCH = 50.0  # from pair to pair: a thumb with a glove
LANE_LEFT = {True: 100.0, False: 180.0}  # the side lane lies to the driver's left
LANE_WIDE = 110.0
CONE, TAP = 7.0, 24.0


def cone_map(course: Mapping[str, Any]) -> str:
    """Every cone with its number and a field around it, the start at the bottom.

    Parameters: the course as a work-up gives it, with ``cones`` [m]. Returns: an ``svg`` element as
    text; numbers are those of the drawing to scale.

    >>> from dataclasses import asdict
    >>> from vehicles.calculations.course import lay_out
    >>> cone_map(asdict(lay_out(width_mm=1800))).count("data-cone")
    18
    """
    cones = list(enumerate(course["cones"], start=1))
    pairs = [list(pair) for _, pair in groupby(cones, key=lambda numbered: numbered[1]["x_m"])]
    height = TOP + PITCH * len(pairs) + BOTTOM
    parts: list[str] = []
    for place, pair in enumerate(pairs):
        y = height - BOTTOM - PITCH * (place + 0.5)
        section = pair[0][1]["section"]
        parts += [text(4, y + 4, f"Section {section}", 12, anchor="start"), *_pair(pair, y, aside=section == 3)]
    parts += [
        line(WIDTH / 2 + 60, height - 8, WIDTH / 2 + 60, height - BOTTOM + 8),
        text(WIDTH / 2 + 52, height - 14, "start, driven upwards", 12, anchor="end"),
        f'<path d="M{WIDTH / 2 + 56:g} {height - BOTTOM + 10:g} l4 -8 l4 8 z" fill="{INK}"/>',
    ]
    return drawing("cones", WIDTH, height, f"{len(cones)} cones in {len(pairs)} rows, the start at the bottom", parts)


def _pair(pair: list[tuple[int, Mapping[str, Any]]], y: float, *, aside: bool) -> list[str]:
    left = LANE_LEFT[aside]
    parts = [line(left, y, left + LANE_WIDE, y, thin=True)]
    for number, cone in pair:
        x = left if cone["side"] == "left" else left + LANE_WIDE
        parts += [
            f'<circle class="cone" cx="{x:g}" cy="{y:g}" r="{CONE:g}" fill="{INK}"/>',
            text(x + (-20 if cone["side"] == "left" else 20), y + 5, str(number), 14),
            f'<circle class="tap" data-cone="{number}" cx="{x:g}" cy="{y:g}" r="{TAP:g}" fill="transparent"/>',
        ]
    return parts
