"""Plots of logged runs: plain SVG made of numbers and our own words."""

from itertools import groupby
from xml.sax.saxutils import escape

WIDTH, HEIGHT = 1000, 300
LEFT, RIGHT, ABOVE, BELOW = 60, 40, 24, 44
# Told apart by their dashes as well as by the legend: never by colour.
DASHES = ("", "8 4", "2 3", "12 4 2 4", "4 8", "1 6", "16 6")


def along(traces, *, quantity, label, unit, course):
    """One quantity of several passes along the course, each with its own dashes."""
    low, high, step = _scale(*_ends(value for _, trace in traces for value in trace[quantity]))
    scale = _Scale(course["length_m"], low, high)
    parts = [*_grid(scale, low, high, step, unit), *_sections(scale, course)]
    parts += [_line(scale, trace["x_m"], trace[quantity], n) for n, (_, trace) in enumerate(traces)]
    said = f"{label} along the course: " + "; ".join(
        f"{name} {_between(trace[quantity], unit)}" for name, trace in traces
    )
    return _svg([*parts, *_legend([name for name, _ in traces])], said, extra=20 * len(traces))


def path(traces, course):
    """The paths of the reference point over the cones; across is drawn four times as large as along."""
    ys = [value for _, trace in traces for value in trace["y_m"]] + [cone["y_m"] for cone in course["cones"]]
    low, high, step = _scale(*_ends(ys))
    scale = _Scale(course["length_m"], low, high)
    parts = [*_grid(scale, low, high, step, "m"), *_sections(scale, course)]
    for number, cone in enumerate(course["cones"], start=1):
        x, y = scale.x(cone["x_m"]), scale.y(cone["y_m"])
        parts.append(f'<circle class="cone" cx="{x:.1f}" cy="{y:.1f}" r="3" fill="#15233f"/>')
        parts.append(_text(x + 5, y - 5, str(number), 11, "start"))
    parts += [_line(scale, trace["x_m"], trace["y_m"], n) for n, (_, trace) in enumerate(traces)]
    said = "Path of the reference point over the course, with the cones: " + ", ".join(name for name, _ in traces)
    return _svg([*parts, *_legend([name for name, _ in traces])], said, extra=20 * len(traces))


def _ends(values):
    """Least and greatest of what is known."""
    known = [value for value in values if value is not None]
    return (min(known), max(known)) if known else (0.0, 1.0)


def _between(values, unit):
    if not any(value is not None for value in values):
        return "not known"
    low, high = _ends(values)
    return f"from {low:.2f} to {high:.2f} {unit}" + (", in part not known" if None in values else "")


class _Scale:
    def __init__(self, length_m, low, high):
        self.length_m, self.low, self.high = length_m, low, high

    def x(self, x_m):
        return LEFT + x_m / self.length_m * (WIDTH - LEFT - RIGHT)

    def y(self, value):
        return HEIGHT - BELOW - (value - self.low) / (self.high - self.low) * (HEIGHT - ABOVE - BELOW)


def _scale(low, high):
    """Round ends and a step of 1, 2 or 5 that gives three to eight lines."""
    span = max(high - low, 1e-3)
    power = 10.0 ** len(str(int(span))) / 100
    step = next(step * power * ten for ten in (1, 10, 100) for step in (1, 2, 5) if span / (step * power * ten) <= 6)
    return (low // step) * step, (high // step + 1) * step, step


def _grid(scale, low, high, step, unit):
    for n in range(round((high - low) / step) + 1):
        value = low + n * step
        y = scale.y(value)
        yield f'<line class="thin" x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" stroke="#c9c5b8"/>'
        yield _text(LEFT - 6, y + 4, f"{value:g}", 13, "end")
    yield _text(6, 14, unit, 13, "start")
    yield _text(WIDTH - RIGHT, HEIGHT - 8, "m along the course", 13, "end")


def _sections(scale, course):
    for section in course["sections"]:
        x = scale.x(section["start_m"])
        yield f'<line class="thin" x1="{x:.1f}" x2="{x:.1f}" y1="{ABOVE}" y2="{HEIGHT - BELOW}" stroke="#4d5870"/>'
        yield _text(x, HEIGHT - BELOW + 16, f"{section['start_m']:g}", 13, "middle")
        middle = scale.x(section["start_m"] + section["length_m"] / 2)
        yield _text(middle, ABOVE - 8, f"Section {section['number']}", 13, "middle")


def _line(scale, xs, values, number):
    """One line for each stretch that is known: a drop-out stays open."""
    dashes = DASHES[number % len(DASHES)]
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    lines = []
    for known, stretch in groupby(zip(xs, values, strict=True), key=lambda point: point[1] is not None):
        if known:
            points = " ".join(f"{scale.x(x):.1f},{scale.y(value):.1f}" for x, value in stretch)
            lines.append(
                f'<polyline class="line" points="{points}" fill="none" stroke="#15233f" stroke-width="1.5"{dashed}/>'
            )
    return "".join(lines)


def _legend(names):
    for number, name in enumerate(names):
        y = HEIGHT + 6 + 20 * number
        dashes = DASHES[number % len(DASHES)]
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        yield f'<line class="line" x1="{LEFT}" x2="{LEFT + 60}" y1="{y}" y2="{y}" stroke="#15233f"{dashed}/>'
        yield _text(LEFT + 70, y + 4, name, 13, "start")


def _text(x, y, words, size, anchor):
    place = f'x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}" fill="#15233f"'
    return f"<text {place}>{escape(words)}</text>"


def _svg(parts, said, *, extra):
    said = escape(said, {'"': "&quot;"})
    box = f"0 0 {WIDTH} {HEIGHT + extra}"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing plot" role="img" viewBox="{box}" aria-label="{said}">'
    )
    return "\n".join([head, *parts, "</svg>"])
