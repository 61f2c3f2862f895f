"""From a year or more of hourly records: how likely a workable window is, by month and start hour."""

from dataclasses import dataclass
from math import ceil, log
from typing import TYPE_CHECKING

from .errors import CalculationError
from .hours import LENGTH, Hour, Limits
from .ranges import Range
from .weather_record import MONTH, Record, from_hours

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Counts = NDArray[np.int64]

__all__ = ["Chances", "Hour", "Limits", "Record", "bookings_expected", "bookings_to_be_sure", "chances", "from_hours"]

CHANCE = Range(name="chance", label="Chance of a window", low=0, high=1, unit="")
START = Range(name="start_hour", label="Start hour", low=0, high=23, unit="", whole=True)
SURE = Range(name="surety", label="How sure to be", low=0.5, high=0.999, unit="")


@dataclass(frozen=True, kw_only=True)
class Chances:
    """Windows judged and windows workable, arrays [site, month − 1, start hour]."""

    judged: "Counts"
    workable: "Counts"

    def chance(self, *, month: int, start_hour: int, site: int = 0) -> float | None:
        """Share of windows of that month and start hour that were workable, None if none was judged.

        Parameters: month 1 to 12, start hour 0 to 23 by the clock of the record, site by its row [-].
        Returns: chance 0 to 1 [-]. Raises CalculationError for a month, an hour or a site that is none.
        """
        MONTH.check(month)
        START.check(start_hour)
        if not 0 <= site < len(self.judged):
            raise CalculationError(quantity="site", value=site, allowed=f"0 to {len(self.judged) - 1}")
        judged = int(self.judged[site, month - 1, start_hour])
        return int(self.workable[site, month - 1, start_hour]) / judged if judged else None

    def best_hours(self, *, month: int, site: int = 0) -> tuple[int, ...]:
        """Start hours of a month from the most to the least likely, the earlier first when equal."""
        known = [(h, self.chance(month=month, start_hour=h, site=site)) for h in range(24)]
        rated = [(hour, chance) for hour, chance in known if chance is not None]
        return tuple(hour for hour, _ in sorted(rated, key=lambda pair: -pair[1]))


def chances(*, record: Record, limits: Limits, hours_needed: int) -> Chances:
    """Count, by month and start hour, the windows that could be judged and those that were workable.

    A window of that many hours is workable when each hour keeps wind and gust at or under the
    limit and no rain fell in it or while the surface dries. Only windows whose every hour is known
    are judged, together with those that daylight or site hours forbid, which are certain.

    Parameters
    ----------
    record : hourly arrays of one or more sites [m/s, mm]
    limits : as for a booking
    hours_needed : length of the test [h]

    Returns
    -------
    Chances, counts by site, month and start hour [-].

    Raises
    ------
    CalculationError : hours needed outside 1 to 24.

    Notes
    -----
    The past is taken as a guide to the coming year. Drying time is an assumption. A broken hour
    beside one that is not known settles a booking, not a chance: counted as a failure it would
    make every gap of the record look like bad weather. For the same reason the forbidden windows
    of a month and hour, which no gap hides, count in the share in which the others are known.

    Example
    -------
    >>> from datetime import UTC, datetime
    >>> morning = [datetime(2026, 3, 2, hour, tzinfo=UTC) for hour in range(3)]
    >>> hours = [Hour(start=at, wind_mps=wind, rain_mm=0) for at, wind in zip(morning, (1, 1, 5))]
    >>> found = chances(record=from_hours(hours), limits=Limits(drying_h=0), hours_needed=2)
    >>> found.chance(month=3, start_hour=0), found.chance(month=3, start_hour=1)
    (1.0, 0.0)

    Source: counting; checked on an open record of a year against an independent computation, and
    on simulated records with gaps.
    """
    import numpy as np

    LENGTH.check(hours_needed)
    broken, unknown, shut = _by_hour(record, limits)
    count = broken.shape[1] - hours_needed + 1
    sites = broken.shape[0]
    if count < 1:
        nothing = np.zeros((sites, 12, 24), dtype=np.int64)
        return Chances(judged=nothing, workable=nothing)
    bad, open_ = _any_of(broken, hours_needed), _any_of(unknown, hours_needed)
    cell = ((record.month - 1) * 24 + record.hour)[:count]
    if shut is None:
        return Chances(judged=_count(cell, ~open_), workable=_count(cell, ~(open_ | bad)))
    forbidden = _any_of(shut, hours_needed)
    free, known = _count(cell, ~forbidden), _count(cell, ~(open_ | forbidden))
    seen = np.where(free > 0, known / np.maximum(free, 1), 1.0)
    judged = known + np.rint(seen * _count(cell, forbidden)).astype(np.int64)
    return Chances(judged=judged, workable=_count(cell, ~(open_ | forbidden | bad)))


def bookings_expected(*, chance: float) -> float:
    """Mean number of bookings until one is workable: 1 / p.

    Parameters: chance p of one booking, above 0 [-]. Returns: bookings [-]. Raises
    CalculationError outside 0 to 1 or for 0, when no booking would ever do.

    >>> bookings_expected(chance=0.4)
    2.5

    Source: mean of the geometric distribution; bookings taken as independent.
    """
    return 1 / _possible(chance)


def bookings_to_be_sure(*, chance: float, surety: float = 0.9) -> int:
    """Bookings after which one was workable with that probability: ⌈ln(1 − s) / ln(1 − p)⌉.

    Parameters: chance p of one booking, surety s [-]. Returns: bookings [-].
    Raises CalculationError for a chance of 0 or a value out of range.

    >>> bookings_to_be_sure(chance=0.5)
    4

    Source: geometric distribution; bookings taken as independent.
    """
    SURE.check(surety)
    if _possible(chance) == 1:
        return 1
    return ceil(log(1 - surety) / log(1 - chance))


def _possible(chance: float) -> float:
    if CHANCE.check(chance) == 0:
        raise CalculationError(quantity="chance", value=0, allowed="above 0: at this hour no booking would do")
    return chance


def _any_of(flags: "Flags", hours_needed: int) -> "Flags":
    """For each start, whether any hour of its window is marked."""
    count = flags.shape[1] - hours_needed + 1
    found = flags[:, :count].copy()
    for ahead in range(1, hours_needed):
        found |= flags[:, ahead : count + ahead]
    return found


def _by_hour(record: Record, limits: Limits) -> "tuple[Flags, Flags, Flags | None]":
    """Hours that break a limit, hours that may, and hours that are forbidden whatever the weather, by site."""
    import numpy as np

    wind, rain = np.atleast_2d(record.wind_mps), np.atleast_2d(record.rain_mm)
    broken = wind > limits.wind_mps
    unknown = np.isnan(wind)
    if limits.gust_mps is not None:
        gust = np.full_like(wind, np.nan) if record.gust_mps is None else np.atleast_2d(record.gust_mps)
        broken |= gust > limits.gust_mps
        unknown |= np.isnan(gust)
    wet, unseen = rain > 0, np.isnan(rain)
    for back in range(limits.drying_h + 1):
        broken[:, back:] |= wet[:, : wet.shape[1] - back]
        unknown[:, back:] |= unseen[:, : wet.shape[1] - back]
    # Before the record begins the rain is not known.
    unknown[:, : limits.drying_h] = True
    if record.usable is None:
        return broken, unknown, None
    return broken, unknown, np.broadcast_to(~np.atleast_2d(record.usable), broken.shape)


def _count(cell: "Counts", chosen: "Flags") -> "Counts":
    import numpy as np

    sites = chosen.shape[0]
    return np.stack([np.bincount(cell[row], minlength=288) for row in chosen]).reshape(sites, 12, 24)
