"""The plots of a test day for a page in the browser, drawn from the record as those of the report are."""

import base64

from certificates import plots

_CAPTIONS = {
    "speed": "Speed along the course, by the log",
    "lateral": "Lateral acceleration along the course, by the log",
    "path": "Path over the course with its cones; across drawn larger than along",
}


def of(day):
    """Caption and `data:` address of each plot that the day allows."""
    if svg := plots.climb(day):
        yield plots.described(day), _address(svg)
    for name, svg in plots.logged(day).items():
        yield _CAPTIONS[name], _address(svg)


def _address(svg):
    return f"data:image/svg+xml;base64,{base64.b64encode(svg.encode()).decode()}"
