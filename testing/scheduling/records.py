"""Reading an hourly record, typed or as a file. One mistake anywhere and nothing is taken."""

import csv
import io
import re
from dataclasses import dataclass
from datetime import UTC, datetime

from testing.scheduling import readings
from testing.scheduling.local_times import TimeRefused, read_day_first, read_time
from vehicles.calculations.errors import CalculationError

LARGEST_BYTES = 2_000_000
MOST_ROWS = 20_000
PROBLEMS_SHOWN = 20
COLUMNS = ("time", "wind", "gust", "rain")
NEEDED = ("time", "wind")
TIMES = {"iso": read_time, "dmy": read_day_first}
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(Z|[+-]\d{2}:?\d{2})?", re.ASCII)


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One hour of a record."""

    starts_at: datetime
    wind_mps: float | None
    gust_mps: float | None
    rain_mm: float | None


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Which column of a file holds what (None: not in it), and how times and rain are written."""

    time: int
    wind: int
    gust: int | None
    rain: int | None
    times: str = "iso"
    clock: str = "site"
    rain_unit: str = "mm"


class Unreadable(Exception):
    """The record cannot be taken. Carries one sentence for each thing that is wrong."""

    def __init__(self, problems):
        self.problems = list(problems)
        super().__init__("; ".join(self.problems))


class UnknownColumns(Unreadable):
    """The header names columns that nobody has explained yet. Carries the names."""

    def __init__(self, names, problem):
        self.names = names
        super().__init__([problem])


def too_large(size):
    return Unreadable([f"The file has {size:,} bytes; at most {LARGEST_BYTES:,} are taken."])


class _Reader:
    """Collects the hours of one record and everything that is wrong with it."""

    def __init__(self, *, zone, unit, rain_unit="mm", read=read_time, clock_zone=None):
        self.zone, self.unit, self.rain_unit = zone, unit, rain_unit
        self.read, self.clock_zone = read, clock_zone or zone
        self.found, self.lines, self.problems = [], {}, []

    def take(self, line, *, time, wind, gust, rain):
        try:
            at = self._hour(self.read(time, self.clock_zone), line)
            self.found.append(
                Reading(
                    starts_at=at,
                    wind_mps=readings.read(wind, row=readings.WIND, unit=self.unit),
                    gust_mps=readings.read(gust, row=readings.GUST, unit=self.unit),
                    rain_mm=readings.read(rain, row=readings.RAIN, unit=self.rain_unit),
                )
            )
        except (TimeRefused, CalculationError) as error:
            self.wrong(line, str(error))

    def _hour(self, at, line):
        local = at.astimezone(self.zone)
        if local.minute or local.second:
            raise TimeRefused(f"{local:%H:%M:%S} is not a full hour in {self.zone}")
        if at in self.lines:
            raise TimeRefused(f"{local:%Y-%m-%d %H:%M} stands in line {self.lines[at]} already")
        self.lines[at] = line
        return at

    def wrong(self, line, text):
        self.problems.append(f"Line {line}: {text}.")

    def result(self):
        if not self.found and not self.problems:
            raise Unreadable(["There is no hour in it."])
        if self.problems:
            more = len(self.problems) - PROBLEMS_SHOWN
            raise Unreadable([*self.problems[:PROBLEMS_SHOWN], *([f"And {more} more lines."] if more > 0 else [])])
        return self.found


def read_lines(text, *, day, zone, unit):
    """Hours typed for one day: `06:00 2.1 3.0 0` is time, wind, gust and rain. Raises Unreadable."""
    reader = _Reader(zone=zone, unit=unit)
    for line, row in enumerate(text.splitlines(), start=1):
        parts = row.split()
        if not parts:
            continue
        clock = _CLOCK.fullmatch(parts[0])
        if len(parts) != len(COLUMNS) or clock is None:
            reader.wrong(line, f"“{row.strip()[:60]}” is not time, wind, gust and rain, such as 06:00 2.1 3.0 0")
            continue
        time = f"{day.isoformat()}T{int(clock[1]):02d}:{clock[2]}{clock[3] or ''}"
        reader.take(line, time=time, wind=parts[1], gust=parts[2], rain=parts[3])
    return reader.result()


def text_of(data):
    """The text of an uploaded file. Raises Unreadable when it is none, or too much."""
    if len(data) > LARGEST_BYTES:
        raise too_large(len(data))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Unreadable(["The file is not text in UTF-8; save it as CSV (UTF-8)."]) from error
    if "\x00" in text:
        raise Unreadable(["The file holds NUL bytes: it is not a CSV file."])
    return text


def header_of(text):
    """The names in the first line of a CSV text. Raises Unreadable when there is no such line."""
    try:
        names = [cell.strip() for cell in next(csv.reader(io.StringIO(text), strict=True), [])]
    except csv.Error as error:
        raise Unreadable([f"Line 1: not readable as CSV ({error})."]) from error
    if not any(names):
        raise Unreadable(["The first line has to name the columns; it is empty."])
    return names


def read_csv(data, *, zone, unit, columns=None):
    """Hours of a CSV file, bytes or text, with a header line. Without ``columns`` the header has to be ours.

    Raises UnknownColumns for a header that has to be explained first, Unreadable for all else.
    """
    text = text_of(data) if isinstance(data, bytes) else data
    names = header_of(text)
    columns = columns or _our_columns(names)
    reader = _Reader(
        zone=zone,
        unit=unit,
        rain_unit=columns.rain_unit,
        read=TIMES[columns.times],
        clock_zone=UTC if columns.clock == "utc" else zone,
    )
    rows = csv.reader(io.StringIO(text), strict=True)
    try:
        next(rows)
        for count, row in enumerate((row for row in rows if any(map(str.strip, row))), start=1):
            if count > MOST_ROWS:
                raise Unreadable([f"The file has more than {MOST_ROWS:,} rows; upload it in parts."])
            if len(row) != len(names):
                reader.wrong(rows.line_num, f"{len(row)} values; the header names {len(names)} columns")
                continue
            values = {name: getattr(columns, name) for name in COLUMNS}
            reader.take(rows.line_num, **{name: "" if at is None else row[at] for name, at in values.items()})
    except csv.Error as error:
        raise Unreadable([f"Line {rows.line_num}: not readable as CSV ({error})."]) from error
    return reader.result()


def _our_columns(names):
    plain = [name.lower() for name in names]
    unknown = [name for name in plain if name not in COLUMNS]
    missing = [name for name in NEEDED if name not in plain]
    if unknown or missing or len(set(plain)) != len(plain):
        found = ", ".join(name[:40] for name in plain[:10])
        problem = (
            f"The first line has to name the columns: {', '.join(COLUMNS)} (gust and rain may be left out), "
            f"each once and no others, or you say which column is which. It names: {found}."
        )
        raise UnknownColumns(names, problem)
    return Columns(**{name: plain.index(name) if name in plain else None for name in COLUMNS})
