"""Plots of a test day from its record: the climb of speeds with the wind under it, and what loggers recorded.

Plain SVG text in one size; shapes tell outcomes apart, so that it reads in black and white.
"""

from xml.sax.saxutils import escape

from testing.testday import plots as log_plots

INK, PALE, HAIR = "#15233f", "#4d5870", "#c9c5b8"
WIDTH, LEFT, RIGHT = 640, 46, 12
SPEED_TOP, SPEED_BOTTOM, WIND_TOP, WIND_BOTTOM = 22, 178, 206, 258
HEIGHT = 296
_SHAPES = {
    "clean": lambda x, y: f'<circle cx="{x}" cy="{y}" r="4.2" fill="{INK}"/>',
    "cones": lambda x, y: (
        f'<path d="M{x - 4.4} {y - 4.4}L{x + 4.4} {y + 4.4}M{x - 4.4} {y + 4.4}L{x + 4.4} {y - 4.4}" '
        f'stroke="{INK}" stroke-width="2"/>'
    ),
    "aborted": lambda x, y: f'<path d="M{x - 5} {y + 4}L{x} {y - 5}L{x + 5} {y + 4}Z" fill="#fff" stroke="{INK}"/>',
}
_WORDS = {"clean": "clean", "cones": "cones moved", "aborted": "aborted"}


def climb(day):
    """The runs of a day as an `svg` element, or an empty text where no run was recorded."""
    runs = day["runs"]
    if not runs:
        return ""
    target, limit = day["work_up"]["speeds"]["target_kmh"], day["work_up"]["limits"]["wind_mps"]
    speeds = [run["measured_kmh"] or run["aimed_kmh"] for run in runs]
    low = 10 * (min(*speeds, target) // 10) - 10
    high = 10 * (max(*speeds, target) // 10) + 10
    winds = [run["wind_mps"] for run in runs if run["wind_mps"] is not None]
    across = _across(len(runs))
    speed_y = _scale(low, high, SPEED_BOTTOM, SPEED_TOP)
    wind_y = _scale(0, max([limit * 1.3, *winds]), WIND_BOTTOM, WIND_TOP)
    parts = [
        *_rule(speed_y, range(int(low), int(high) + 1, 10)),
        *_limit(speed_y(target), f"target {target:g} km/h"),
        *_rule(wind_y, (0, limit)),
        *_limit(wind_y(limit), f"wind limit {limit:g} m/s"),
        _text(LEFT - 38, SPEED_TOP - 9, "Speed measured, km/h", size=10),
        _text(LEFT - 38, WIND_TOP - 8, "Wind, m/s", size=10),
    ]
    for run, speed, x in zip(runs, speeds, across, strict=True):
        parts += _run(run, x, speed_y(speed), wind_y)
    parts += _legend()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'font-family="DejaVu Sans" class="drawing" role="img" aria-label="{escape(described(day))}">'
        f"{''.join(parts)}</svg>"
    )


def logged(day):
    """Speed, lateral acceleration and path of the passes in the logs of a day, by name of the plot."""
    course = day["work_up"].get("course")
    traces = [
        (f"run {one['run']}" if one["run"] else f"{log['original_name']}, pass {one['number']}", one["found"]["trace"])
        for log in day.get("logs", ())
        for one in log["passes"]
        if "trace" in one["found"]
    ]
    if not course or not traces:
        return {}
    drawn = {
        "speed": log_plots.along(traces, quantity="speed_kmh", label="Speed", unit="km/h", course=course),
        "lateral": log_plots.along(traces, quantity="lateral_g", label="Lateral acceleration", unit="g", course=course),
        "path": log_plots.path(traces, course),
    }
    return {name: svg.replace("<svg ", '<svg font-family="DejaVu Sans" ', 1) for name, svg in drawn.items()}


def described(day):
    """What the plot shows, in words."""
    runs = day["runs"]
    clean = sum(run["outcome"] == "clean" and run["counts"] and not run["struck"] for run in runs)
    return f"Speed and wind of {len(runs)} runs in order; {clean} clean runs count"


def _across(count):
    step = (WIDTH - LEFT - RIGHT) / count
    return [round(LEFT + step * (index + 0.5), 1) for index in range(count)]


def _scale(low, high, bottom, top):
    return lambda value: round(bottom - (value - low) / (high - low) * (bottom - top), 1)


def _rule(y, values):
    for value in values:
        yield f'<path d="M{LEFT} {y(value)}H{WIDTH - RIGHT}" stroke="{HAIR}" stroke-width="0.6"/>'
        yield _text(LEFT - 6, y(value) + 3.4, f"{value:g}", anchor="end")


def _limit(y, words):
    yield f'<path d="M{LEFT} {y}H{WIDTH - RIGHT}" stroke="{INK}" stroke-dasharray="5 3"/>'
    yield _text(LEFT + 3, y - 3.5, words)


def _run(run, x, y, wind_y):
    # Test Mass 2 stands on a line of its own kind: a ring around the shape.
    faint = ' opacity="0.45"' if run["struck"] or not run["counts"] else ""
    ring = f'<circle cx="{x}" cy="{y}" r="7.5" fill="none" stroke="{INK}"/>' if run["mass"] == "tm2" else ""
    yield f"<g{faint}>{_SHAPES[run['outcome']](x, y)}{ring}</g>"
    if run["struck"]:
        yield f'<path d="M{x - 9} {y}H{x + 9}" stroke="{INK}" stroke-width="1.4"/>'
    yield _text(x, WIND_BOTTOM + 13, str(run["number"]), anchor="middle")
    if run["wind_mps"] is not None:
        top = wind_y(run["wind_mps"])
        yield f'<path d="M{x} {WIND_BOTTOM}V{top}" stroke="{PALE}" stroke-width="5"/>'


def _legend():
    x, y = LEFT, HEIGHT - 8
    for outcome, words in _WORDS.items():
        yield _SHAPES[outcome](x, y - 3.5)
        yield _text(x + 10, y, words)
        x += 30 + 6.2 * len(words)
    yield f'<circle cx="{x}" cy="{y - 3.5}" r="6" fill="none" stroke="{INK}"/>'
    yield _text(x + 12, y, "at Test Mass 2; pale: does not count; struck through: struck out")


def _text(x, y, words, *, anchor="start", size=9):
    return f'<text x="{x}" y="{y}" font-size="{size}" fill="{PALE}" text-anchor="{anchor}">{escape(words)}</text>'
