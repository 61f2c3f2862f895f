"""Demand against limits over speed: what the course asks, what grip and roll threshold allow."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from vehicles.calculations.outlook import GRIP_LOW_G, REAL_FACTOR
from vehicles.svg import drawing, line, text

WIDTH, HEIGHT = 360.0, 250.0
LEFT, RIGHT, TOP, BOTTOM = 34.0, 70.0, 18.0, 40.0
TEXT, SMALL = 13, 11


class _Axes:
    def __init__(self, speeds: Sequence[int], most_g: float) -> None:
        self.low, self.high, self.most_g = min(speeds), max(speeds), most_g

    def x(self, speed_kmh: float) -> float:
        return LEFT + (speed_kmh - self.low) / max(1, self.high - self.low) * (WIDTH - LEFT - RIGHT)

    def y(self, g: float) -> float:
        return TOP + (1 - g / self.most_g) * (HEIGHT - TOP - BOTTOM)


def outlook_drawing(*, demand: Sequence[Mapping[str, Any]], stability: Mapping[str, Mapping[str, Any]]) -> str:
    """Demand and 1.7 times it, grip, and the low end of each roll threshold, as an ``svg`` element.

    Parameters: demand at each speed and stability at each mass, as a work-up gives them [km/h, g].
    Returns: text.
    """
    rolls = [(name, found, rough) for name, found, rough in _rolls(stability)]
    peak = max(row["peak_lateral_g"] for row in demand) * REAL_FACTOR
    axes = _Axes([row["speed_kmh"] for row in demand], 1.08 * max(peak, GRIP_LOW_G, *(g for _, g, _ in rolls), 0.1))
    parts = [
        *_frame(axes, [row["speed_kmh"] for row in demand]),
        *_curve(axes, demand, 1.0, "demand"),
        *_curve(axes, demand, REAL_FACTOR, f"× {REAL_FACTOR:g}", dashed=True),
        *_limit(axes, GRIP_LOW_G, "grip"),
        *(part for name, g, rough in _merged(rolls) for part in _limit(axes, g, f"{name}{', est.' if rough else ''}")),
    ]
    label = f"Least lateral acceleration asked from {axes.low} to {axes.high} km/h, against grip and roll threshold"
    return drawing("outlook", WIDTH, HEIGHT, label, parts)


def _rolls(stability: Mapping[str, Mapping[str, Any]]) -> Iterator[tuple[str, float, bool]]:
    for mass, at in stability.items():
        rough = at["threshold_low_g"] is None
        found = at["estimated"] if rough else at
        if found:
            yield f"roll {mass.upper()}", found["threshold_low_g"], rough


def _merged(rolls: Sequence[tuple[str, float, bool]]) -> list[tuple[str, float, bool]]:
    """Two thresholds that would print over each other become one, at the lower of them."""
    if len(rolls) == 2 and abs(rolls[0][1] - rolls[1][1]) < 0.05:
        return [("roll", min(rolls[0][1], rolls[1][1]), rolls[0][2])]
    return list(rolls)


def _frame(axes: _Axes, speeds: Sequence[int]) -> Iterator[str]:
    floor = axes.y(0)
    yield line(LEFT, floor, WIDTH - RIGHT, floor)
    yield line(LEFT, floor, LEFT, TOP)
    for speed in speeds:
        yield line(axes.x(speed), floor, axes.x(speed), floor + 4)
        yield text(axes.x(speed), floor + 18, str(speed), SMALL)
    yield text((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 6, "km/h", SMALL)
    tenths = range(0, int(axes.most_g * 10) + 1, 2)
    for tenth in tenths:
        yield line(LEFT - 4, axes.y(tenth / 10), LEFT, axes.y(tenth / 10))
        yield text(LEFT - 7, axes.y(tenth / 10) + 4, f"{tenth / 10:.1f}", SMALL, anchor="end")
    yield text(LEFT + 4, TOP - 5, "g", SMALL, anchor="start")


def _curve(
    axes: _Axes, demand: Sequence[Mapping[str, Any]], factor: float, name: str, *, dashed: bool = False
) -> Iterator[str]:
    points = [(axes.x(row["speed_kmh"]), axes.y(row["peak_lateral_g"] * factor)) for row in demand]
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dashes = ' stroke-dasharray="6 4"' if dashed else ""
    yield f'<polyline points="{path}" class="line" fill="none" stroke="#15233f"{dashes}/>'
    yield text(points[-1][0] + 5, points[-1][1] + 4, name, SMALL, anchor="start")


def _limit(axes: _Axes, g: float, name: str) -> Iterator[str]:
    yield line(LEFT, axes.y(g), WIDTH - RIGHT, axes.y(g), thin=True)
    yield text(LEFT + 5, axes.y(g) - 4, f"{name} {g:.2f} g", SMALL, anchor="start")
