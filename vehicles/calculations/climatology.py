"""From a year or more of hourly records: how likely a workable window is, by month and start hour."""

from dataclasses import dataclass
from math import ceil, log
from typing import TYPE_CHECKING

from .errors import CalculationError
from .hours import LENGTH, Limits
from .ranges import Range
from .weather_record import Record, from_hours

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Counts = NDArray[np.int64]

__all__ = ["Chances", "Record", "bookings_expected", "bookings_to_be_sure", "chances", "from_hours"]

CHANCE = Range(name="chance", label="Chance of a window", low=0, high=1, unit="")
SURE = Range(name="surety", label="How sure to be", low=0.5, high=0.999, unit="")


@dataclass(frozen=True, kw_only=True)
class Chances:
    """Windows judged and windows workable, arrays [site, month − 1, start hour]."""

    judged: "Counts"
    workable: "Counts"

    def chance(self, *, month: int, start_hour: int, site: int = 0) -> float | None:
        """Share of windows of that month and start hour that were workable, None if none was judged."""
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
    limit and no rain fell in it or while the surface dries. One hour that breaks a limit settles
    the window; without one, an hour that is not known leaves it out of the count.

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
    The past is taken as a guide to the coming year. Drying time is an assumption.

    Source: counting; checked on an open record of a year against an independent computation.
    """
    import numpy as np

    LENGTH.check(hours_needed)
    broken, unknown = _by_hour(record, limits)
    count = broken.shape[1] - hours_needed + 1
    sites = broken.shape[0]
    if count < 1:
        nothing = np.zeros((sites, 12, 24), dtype=np.int64)
        return Chances(judged=nothing, workable=nothing)
    bad, open_ = broken[:, :count].copy(), unknown[:, :count].copy()
    for ahead in range(1, hours_needed):
        bad |= broken[:, ahead : count + ahead]
        open_ |= unknown[:, ahead : count + ahead]
    cell = ((record.month - 1) * 24 + record.hour)[:count]
    known = bad | ~open_
    return Chances(judged=_count(cell, known), workable=_count(cell, known & ~bad))


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


def _by_hour(record: Record, limits: Limits) -> "tuple[Flags, Flags]":
    """Hours that break a limit, and hours that may, by site."""
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
    if record.usable is not None:
        broken |= ~np.atleast_2d(record.usable)
    return broken, unknown


def _count(cell: "Counts", chosen: "Flags") -> "Counts":
    import numpy as np

    sites = chosen.shape[0]
    return np.stack([np.bincount(cell[row], minlength=288) for row in chosen]).reshape(sites, 12, 24)
