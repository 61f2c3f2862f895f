"""What a case file may say of the test day: hours of weather, the runs so far, the file of a log."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, time
from typing import TypeVar
from zoneinfo import ZoneInfo

from .daylight import LATITUDE, LONGITUDE
from .errors import CalculationError, CaseError, shown
from .hours import GUST, LENGTH, RAIN, WIND, Hour, by_start
from .log_formats_csv import UNITS, Column
from .reading import Reader
from .run_record import AIMED, MASSES, MEASURED, OUTCOMES, RunRecord
from .usable_hours import with_daylight, with_site_hours

Item = TypeVar("Item")
DAY_KEYS = ("weather", "runs", "log")
WEATHER_KEYS = ("time_zone", "latitude_deg", "longitude_deg", "opens", "closes", "hours_needed", "hours")
HOUR_KEYS = ("start", "wind_mps", "gust_mps", "rain_mm")
RUN_KEYS = ("mass", "aimed_kmh", "measured_kmh", "outcome", "counts")
LOG_COLUMNS = ("time", "x", "y", "speed", "lateral")
MOST_HOURS, MOST_RUNS = 20_000, 500
USUAL_HOURS = 4


@dataclass(frozen=True, kw_only=True)
class Weather:
    """Hours marked with daylight and site hours, as far as they are known; hours that the test needs [h].

    ``place`` is latitude and longitude [°], None when daylight is not judged; ``zone`` that of the site.
    """

    hours: tuple[Hour, ...]
    hours_needed: int
    place: tuple[float, float] | None
    zone: ZoneInfo | None


@dataclass(frozen=True, kw_only=True)
class LogFile:
    """A log beside the case file: its name, and which of its columns is what."""

    file: str
    columns: Mapping[str, Column]


@dataclass(frozen=True, kw_only=True)
class DayInputs:
    """Each is None, or empty, where the case file says nothing of it."""

    weather: Weather | None = None
    runs: tuple[RunRecord, ...] = ()
    log: LogFile | None = None

    @property
    def given(self) -> bool:
        return bool(self.weather or self.runs or self.log)


def read_day(raw: Mapping[str, object]) -> DayInputs:
    """Read the keys of a case file that speak of the test day; all are optional.

    Parameters
    ----------
    raw : the case file: ``weather`` [m/s, mm, °, h], ``runs`` [km/h], ``log``

    Returns
    -------
    DayInputs.

    Raises
    ------
    CaseError : every problem at once, each by its path.

    Example
    -------
    >>> run = {"mass": "tm1", "aimed_kmh": 80, "measured_kmh": 80.4, "outcome": "clean"}
    >>> read_day({"runs": [run]}).runs[0].measured_kmh
    80.4

    Source: our own format, see DEVELOPERS.md.
    """
    reader = _DayReader()
    found = DayInputs(
        weather=reader.weather(raw.get("weather")),
        runs=tuple(reader.items(raw.get("runs"), "runs", RUN_KEYS, MOST_RUNS, reader.run)),
        log=reader.log(raw.get("log")),
    )
    if reader.problems:
        raise CaseError(tuple(reader.problems))
    return found


class _DayReader(Reader):
    """Reads on after a problem, so that every problem is reported in one go."""

    def weather(self, raw: object) -> Weather | None:
        if raw is None:
            return None
        given = self.mapping(raw, "weather", WEATHER_KEYS)
        zone = self.zone(given.get("time_zone"))
        opens, closes = (self.clock(given.get(name), f"weather.{name}") for name in ("opens", "closes"))
        latitude = self.number(given.get("latitude_deg"), "weather.latitude_deg", LATITUDE)
        longitude = self.number(given.get("longitude_deg"), "weather.longitude_deg", LONGITUDE)
        needed = self.number(given.get("hours_needed"), "weather.hours_needed", LENGTH)
        read = self.items(
            given.get("hours"),
            "weather.hours",
            HOUR_KEYS,
            MOST_HOURS,
            lambda item, path: self.hour(item, path, zone=zone),
        )
        place = None if latitude is None or longitude is None else (latitude, longitude)
        hours = tuple(read)
        try:
            by_start(hours)
            if opens and closes:
                hours = with_site_hours(hours=hours, opens=opens, closes=closes)
            if place:
                hours = with_daylight(hours=hours, latitude_deg=place[0], longitude_deg=place[1])
        except CalculationError as error:
            self.wrong("weather", str(error))
        return Weather(hours=hours, hours_needed=int(needed or USUAL_HOURS), place=place, zone=zone)

    def zone(self, raw: object) -> ZoneInfo | None:
        if raw is None:
            self.wrong("weather.time_zone", "missing; the zone of the site is needed, such as Australia/Sydney")
            return None
        try:
            return ZoneInfo(raw if isinstance(raw, str) else "")
        except (ValueError, OSError, KeyError):
            self.wrong("weather.time_zone", f"{shown(raw)} is no zone that is known; one such as Australia/Sydney")
            return None

    def clock(self, raw: object, path: str) -> time | None:
        if raw is None:
            return None
        try:
            found = time.fromisoformat(raw if isinstance(raw, str) else "")
        except ValueError:
            found = None
        if found is None or found.tzinfo:
            self.wrong(path, f"{shown(raw)} is no time of the site's clock; one such as 06:00")
            return None
        return found

    def items(
        self,
        raw: object,
        path: str,
        keys: tuple[str, ...],
        most: int,
        read: Callable[[Mapping[str, object], str], Item | None],
    ) -> Iterator[Item]:
        """What `read` makes of each object of a list; those that cannot be read are named and left out."""
        if raw is None:
            return
        if not isinstance(raw, list) or len(raw) > most:
            self.wrong(path, f"{shown(raw)} is not a list of at most {most:,} objects")
            return
        for number, item in enumerate(raw):
            at = f"{path}[{number}]"
            if not isinstance(item, Mapping):
                self.wrong(at, f"{shown(item)} is not an object; one with {', '.join(keys)} is needed")
                continue
            found = read(self.mapping(item, at, keys), at)
            if found is not None:
                yield found

    def hour(self, given: Mapping[str, object], path: str, *, zone: ZoneInfo | None) -> Hour | None:
        start = self.moment(given.get("start"), f"{path}.start")
        wind, gust, rain = (self.number(given.get(row.name), f"{path}.{row.name}", row) for row in (WIND, GUST, RAIN))
        if start is None or zone is None:
            return None
        return Hour(start=start.astimezone(zone), wind_mps=wind, gust_mps=gust, rain_mm=rain)

    def moment(self, raw: object, path: str) -> datetime | None:
        try:
            found = datetime.fromisoformat(raw if isinstance(raw, str) else "")
        except ValueError:
            found = None
        # The clock of a zone repeats an hour in autumn: without an offset nobody knows which is meant.
        if found is None or found.utcoffset() is None or not 1950 < found.year < 2050:
            self.wrong(path, f"{shown(raw)} is no moment with its offset; one such as 2026-03-02T06:00+11:00")
            return None
        return found

    def run(self, given: Mapping[str, object], path: str) -> RunRecord | None:
        before = len(self.problems)
        mass = self.needed(given, "mass", path, tuple(MASSES))
        outcome = self.needed(given, "outcome", path, OUTCOMES)
        aimed = self.number(given.get("aimed_kmh"), f"{path}.aimed_kmh", AIMED)
        if given.get("aimed_kmh") is None:
            self.wrong(f"{path}.aimed_kmh", f"missing; allowed: {AIMED}")
        measured = self.number(given.get("measured_kmh"), f"{path}.measured_kmh", MEASURED)
        counts = self.truth(given.get("counts"), f"{path}.counts")
        if len(self.problems) > before:
            return None
        return RunRecord(
            mass=mass, aimed_kmh=int(aimed or 0), measured_kmh=measured, outcome=outcome, counts=counts is not False
        )

    def needed(self, given: Mapping[str, object], name: str, path: str, allowed: tuple[str, ...]) -> str:
        if given.get(name) is None:
            self.wrong(f"{path}.{name}", f"missing; one of {', '.join(allowed)}")
        return self.choice(given.get(name), f"{path}.{name}", allowed) or ""

    def log(self, raw: object) -> LogFile | None:
        if raw is None:
            return None
        given = self.mapping(raw, "log", ("file", "columns"))
        file = given.get("file")
        if not isinstance(file, str) or not file.strip():
            self.wrong("log.file", f"{shown(file)} is no name of a file; a CSV beside the case file is needed")
        columns = self.mapping(given.get("columns"), "log.columns", LOG_COLUMNS)
        found = {name: self.column(columns.get(name), name) for name in LOG_COLUMNS}
        return LogFile(file=str(file), columns=found)

    def column(self, raw: object, name: str) -> Column:
        path = f"log.columns.{name}"
        given = self.mapping(raw, path, ("heading", "unit"))
        heading = given.get("heading")
        if not isinstance(heading, str):
            self.wrong(f"{path}.heading", f"{shown(heading)} is no heading; that of the column is needed")
        unit = self.needed(given, "unit", path, tuple(UNITS[name]))
        return Column(heading=str(heading), unit=unit)
