"""A long hourly record as arrays, for counting over years and sites."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC
from typing import TYPE_CHECKING

from .errors import CalculationError
from .hours import GUST, HOUR, RAIN, WIND, Hour
from .ranges import Range

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]
    Counts = NDArray[np.int64]

MONTH = Range(name="month", label="Month", low=1, high=12, unit="", whole=True)
HOUR_OF_DAY = Range(name="hour", label="Hour of the day", low=0, high=23, unit="", whole=True)


@dataclass(frozen=True, kw_only=True)
class Record:
    """Hourly arrays without gaps: local month (1 to 12) and hour (0 to 23), wind, rain, gust.

    Weather arrays are one row for each site, or one row in all; NaN is not known. ``usable`` is
    False for hours that daylight or site hours forbid. Raises CalculationError for months, hours,
    wind, rain or gust out of range, and for arrays of different lengths.
    """

    month: "Counts"
    hour: "Counts"
    wind_mps: "Floats"
    rain_mm: "Floats"
    gust_mps: "Floats | None" = None
    usable: "Flags | None" = None

    def __post_init__(self) -> None:
        import numpy as np

        rows: tuple[tuple[Range, Counts | Floats | None], ...] = (
            (MONTH, self.month),
            (HOUR_OF_DAY, self.hour),
            (WIND, self.wind_mps),
            (RAIN, self.rain_mm),
            (GUST, self.gust_mps),
        )
        for limits, values in rows:
            if values is not None:
                limits.check(float(np.nanmin(values, initial=limits.low)))
                limits.check(float(np.nanmax(values, initial=limits.low)))
        arrays = {"hour": self.hour, "wind_mps": self.wind_mps, "rain_mm": self.rain_mm}
        arrays |= {name: a for name in ("gust_mps", "usable") if (a := getattr(self, name)) is not None}
        for name, array in arrays.items():
            if array.shape[-1] != len(self.month):
                allowed = f"one value for each of {len(self.month)} hours"
                raise CalculationError(quantity=name, value=f"{array.shape[-1]} values", allowed=allowed)


def from_hours(hours: Sequence[Hour]) -> Record:
    """A record of one site from hours with their local zone; gaps are filled with hours not known.

    Parameters: hours, in any order, at least one [m/s, mm]. Returns: Record. Raises CalculationError for an
    hour that stands twice, or not whole hours after the first, or an empty record.

    Notes: an hour whose daylight or site hours are not known is an hour not known.

    >>> from datetime import datetime
    >>> from zoneinfo import ZoneInfo
    >>> zone = ZoneInfo("Australia/Sydney")
    >>> apart = [Hour(start=datetime(2026, 3, 2, h, tzinfo=zone), wind_mps=2) for h in (6, 8)]
    >>> found = from_hours(apart)
    >>> found.hour.tolist(), found.wind_mps.tolist()
    ([6, 7, 8], [2.0, nan, 2.0])

    Source: our own rule.
    """
    import numpy as np

    if not hours:
        raise CalculationError(quantity="hours", value="none", allowed="at least one hour")
    ordered = sorted(hours, key=lambda hour: hour.start.astimezone(UTC))
    first = ordered[0].start.astimezone(UTC)
    zone = ordered[0].start.tzinfo
    offsets = [(hour.start.astimezone(UTC) - first) / HOUR for hour in ordered]
    places = [round(offset) for offset in offsets]
    if places != offsets or len(set(places)) != len(places):
        raise CalculationError(quantity="start", value="an hour", allowed="whole hours after the first, each once")
    count = places[-1] + 1
    local = [(first + n * HOUR).astimezone(zone) for n in range(count)]
    columns = np.full((3, count), np.nan)
    rows = [
        (None if None in (hour.daylight, hour.site_open) else hour.wind_mps, hour.rain_mm, hour.gust_mps)
        for hour in ordered
    ]
    columns[:, places] = np.array(rows, dtype=float).T
    usable = np.ones(count, dtype=bool)
    usable[places] = [False not in (hour.daylight, hour.site_open) for hour in ordered]
    return Record(
        month=np.array([at.month for at in local]),
        hour=np.array([at.hour for at in local]),
        wind_mps=columns[0],
        rain_mm=columns[1],
        gust_mps=columns[2],
        usable=usable,
    )
