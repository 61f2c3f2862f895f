"""CSV of any instrument, by a mapping of its columns."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .log_formats import MOST_ROWS, LogProblem, Track, epoch_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

KMH, KNOT, G = 1 / 3.6, 1852 / 3600, 9.80665
# Channel: what each of its units is in SI. The first is the one we mean.
UNITS: dict[str, dict[str, float]] = {
    "time": {"s": 1.0, "ms": 0.001, "date and time": 0.0},
    "x": {"m": 1.0},
    "y": {"m": 1.0},
    "latitude": {"°": 1.0},
    "longitude": {"°": 1.0},
    "speed": {"km/h": KMH, "m/s": 1.0, "kn": KNOT, "mph": 1609.344 / 3600},
    "lateral": {"g": G, "m/s²": 1.0, "g, right positive": -G, "m/s², right positive": -1.0},
    "tilt": {"°": 1.0},
}
# What a value can be in SI; outside it is a wrong unit or a wrong column, not a vehicle on a course.
LIMITS = {
    "x": (-50_000.0, 50_000.0),
    "y": (-50_000.0, 50_000.0),
    "latitude": (-90.0, 90.0),
    "longitude": (-180.0, 180.0),
    "speed": (0.0, 80.0),
    "lateral": (-40.0, 40.0),
    "tilt": (-90.0, 90.0),
}
# Seconds since 1970 reach this far beyond the year 2200.
LATEST_S = 1e10
NEEDED = "time, speed, and either x and y or latitude and longitude"


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column of the file: its heading and its unit."""

    heading: str
    unit: str


def headings(text: str) -> tuple[str, ...]:
    """The headings of a CSV. Raises LogProblem when there is no usable line of headings.

    Parameters: the text. Returns: names [-].

    >>> headings("Time (s);Speed\\n0;1\\n")
    ('Time (s)', 'Speed')

    Source: RFC 4180; what parts the columns is told by the first line.
    """
    first = text.split("\n", 1)[0]
    if len(first) > 10_000:
        raise LogProblem("more than 10,000 characters where the headings should be", 1)
    names = tuple(name.strip() for name in next(csv.reader([first], delimiter=_delimiter(first)), []))
    if len(names) < 2 or len(set(names)) < len(names) or not all(names):
        raise LogProblem("no headings: two or more different names, parted by comma, semicolon or tab", 1)
    return names


def _delimiter(line: str) -> str:
    return max(",;\t", key=line.count)


def read_csv(text: str, *, columns: Mapping[str, Column]) -> Track:
    """Samples of a CSV, by the columns that are named.

    Parameters: the text; for each channel (a key of UNITS) its column and unit. Returns: Track [s, m, m/s, m/s², °].
    Raises LogProblem, naming the line, for a missing column, a value that is no number or outside what
    a vehicle on a course can do, time that goes back. Empty cells are drop-outs: their rows are left
    out and counted in ``cautions``.

    >>> told = {"time": Column(heading="t", unit="s"), "speed": Column(heading="v", unit="km/h")}
    >>> told |= {"x": Column(heading="x", unit="m"), "y": Column(heading="y", unit="m")}
    >>> read_csv("t,v,x,y\\n0,36,0,0\\n0.1,36,1,0\\n", columns=told).channels["speed"].tolist()
    [10.0, 10.0]

    Source: RFC 4180; ranges of a vehicle on a course, our own.
    """
    names = headings(text)
    _complete(columns)
    places = []
    for column in columns.values():
        if column.heading not in names:
            raise LogProblem(f"no column “{column.heading}”; there are {', '.join(names)}", 1)
        places.append(names.index(column.heading))
    delimiter = _delimiter(text.split("\n", 1)[0])
    rows, lines, left_out = _rows(text, delimiter, places)
    if len(rows) < 2:
        raise LogProblem("fewer than two rows with a value in every named column")
    import numpy as np

    cells = dict(zip(columns, zip(*rows, strict=True), strict=True))
    comma = delimiter == ";"
    epoch, time = _time(cells.pop("time"), columns["time"].unit, lines, comma)
    numbers = {name: _numbers(values, lines, columns[name].heading, comma) for name, values in cells.items()}
    channels = {name: values * UNITS[name][columns[name].unit] for name, values in numbers.items()}
    _within(channels, columns, lines)
    steps = np.diff(time)
    if (steps <= 0).any():
        raise LogProblem("time does not rise", lines[int(np.argmax(steps <= 0)) + 1])
    cautions = (f"{left_out} rows with an empty cell are left out",) if left_out else ()
    return Track(time_s=time - time[0], epoch_s=epoch, channels=channels, cautions=cautions)


def _complete(columns: Mapping[str, Column]) -> None:
    given = columns.keys()
    placed = {"x", "y"} <= given or {"latitude", "longitude"} <= given
    if not ({"time", "speed"} <= given and placed):
        raise LogProblem(f"Name the columns of {NEEDED}.")
    for name, column in columns.items():
        if column.unit not in UNITS[name]:
            raise LogProblem(f"“{column.unit}” is no unit of {name}. Allowed: {', '.join(UNITS[name])}.")


def _rows(text: str, delimiter: str, places: Sequence[int]) -> tuple[list[list[str]], list[int], int]:
    rows, lines, left_out, most = [], [], 0, max(places)
    reader = csv.reader(io.StringIO(text), delimiter=delimiter)
    try:
        next(reader)
        for row in reader:
            if not row:
                continue
            if len(row) <= most:
                raise LogProblem(f"{len(row)} cells, at least {most + 1} needed", reader.line_num)
            picked = [row[place] for place in places]
            if "" in picked:
                left_out += 1
                continue
            rows.append(picked)
            lines.append(reader.line_num)
            if len(rows) > MOST_ROWS:
                raise LogProblem(f"more than {MOST_ROWS:,} rows", reader.line_num)
    except csv.Error as error:
        raise LogProblem(f"no CSV: {error}", reader.line_num) from error
    return rows, lines, left_out


def _numbers(cells: Sequence[str], lines: Sequence[int], heading: str, comma: bool) -> "Numbers":
    import numpy as np

    if comma:
        cells = [cell.replace(",", ".") for cell in cells]
    try:
        values = np.array(cells, dtype=np.float64)
    except ValueError:
        values = np.array([_number(cell, line, heading) for cell, line in zip(cells, lines, strict=True)])
    if not (finite := np.isfinite(values)).all():
        place = int(np.argmin(finite))
        raise LogProblem(f"{heading} “{cells[place]}” is no number", lines[place])
    return values


def _number(cell: str, line: int, heading: str) -> float:
    try:
        return float(cell)
    except ValueError as error:
        raise LogProblem(f"{heading} “{cell[:40]}” is no number", line) from error


def _time(cells: Sequence[str], unit: str, lines: Sequence[int], comma: bool) -> "tuple[float | None, Numbers]":
    import numpy as np

    if unit == "date and time":
        like = "2026-12-02T08:10:00.25+11:00"
        moments = [epoch_of(cell.strip(), like=like, line=line) for cell, line in zip(cells, lines, strict=True)]
        return moments[0], np.array(moments)
    time = _numbers(cells, lines, "time", comma) * UNITS["time"][unit]
    beyond = abs(time) > LATEST_S
    if beyond.any():
        place = int(np.argmax(beyond))
        raise LogProblem(f"time “{cells[place][:40]}” {unit} is no time of a log: wrong unit?", lines[place])
    return None, time


def _within(channels: "Mapping[str, Numbers]", columns: Mapping[str, Column], lines: Sequence[int]) -> None:
    import numpy as np

    for name, values in channels.items():
        low, high = LIMITS[name]
        outside = (values < low) | (values > high)
        if outside.any():
            place, unit = int(np.argmax(outside)), columns[name].unit
            factor = UNITS[name][unit]
            shown, bounds = values[place] / factor, sorted((low / factor, high / factor))
            text = f"{columns[name].heading} {shown:g} {unit} is outside {bounds[0]:g} to {bounds[1]:g}: wrong unit?"
            raise LogProblem(text, lines[place])
