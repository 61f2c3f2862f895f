"""Whether the weather lets the test happen: wind, gust, rain, drying, daylight and site hours."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from .errors import CalculationError
from .hours import HOUR, LENGTH, Hour, Limits, by_start
from .verdict import MET, NOT_MET, UNKNOWN
from .wording import beside, plain

__all__ = [
    "MET",
    "NOT_MET",
    "UNKNOWN",
    "Hour",
    "HourJudgement",
    "Judgement",
    "Limits",
    "Window",
    "judge",
    "judge_hours",
    "ranked",
    "windows",
]


@dataclass(frozen=True, kw_only=True)
class HourJudgement:
    """One hour: met, not_met or unknown, with every reason that speaks against it."""

    start: datetime
    need: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """All hours of a booking: not_met if one is, else unknown if one is, else met."""

    need: str
    hours: tuple[HourJudgement, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Window:
    """Hours in a row that keep every limit, with the strongest wind among them."""

    start: datetime
    end: datetime
    hours: int
    wind_mps: float


def judge_hours(*, hours: Sequence[Hour], limits: Limits) -> tuple[HourJudgement, ...]:
    """Judge every hour of a record: wind and gust at or under, no rain now nor while drying.

    Parameters: hourly record, in any order [m/s, mm]; limits. Returns: one HourJudgement for each
    hour, in order of time. Raises CalculationError for an hour that stands twice or not one or
    more whole hours after the first.

    Notes: gust, when limited, and rain must be known to be met; so must the hours before, as far
    back as the surface takes to dry. The drying time is an assumption.

    >>> from datetime import UTC, datetime
    >>> rain = [2.0, 0.0, 0.0, 0.0, 0.0]
    >>> hours = [Hour(start=datetime(2026, 3, 2, h, tzinfo=UTC), wind_mps=1, rain_mm=mm) for h, mm in enumerate(rain)]
    >>> [hour.need for hour in judge_hours(hours=hours, limits=Limits())]
    ['not_met', 'not_met', 'not_met', 'not_met', 'met']

    Source: wind and surface: common practice, no published source.
    """
    known = by_start(hours)
    return tuple(_judged(known[at], known, limits) for at in sorted(known))


def judge(
    *,
    hours: Sequence[Hour],
    start: datetime,
    end: datetime,
    limits: Limits,
    site_open: bool | None = True,
    daylight: bool | None = True,
) -> Judgement:
    """Judge one booking: every hour that it touches must keep wind, gust and rain, itself the rest.

    Parameters
    ----------
    hours : hourly record or forecast that covers the booking and the drying time before it
    start, end : the booking, with time zone
    limits : what an hour must keep
    site_open, daylight : whether the site is open and the sun up from start to end, as
        ``usable_hours.is_open`` and ``Daylight.covers`` tell; None is not known [-]

    Returns
    -------
    Judgement with the reasons of each hour; an hour that is missing is unknown.

    Raises
    ------
    CalculationError : times without zone, an end not after the start, a booking of more than 48 h,
        a record with hours that overlap.

    Notes
    -----
    Site hours and light of the hours themselves are not looked at: a booking from 07:30 uses only
    a part of the hour from 07:00, and the part before it may well be closed or dark.

    Example
    -------
    >>> from datetime import UTC, datetime
    >>> calm = [Hour(start=datetime(2026, 3, 2, h, tzinfo=UTC), wind_mps=2, rain_mm=0) for h in range(9)]
    >>> booking = {"start": datetime(2026, 3, 2, 6, tzinfo=UTC), "end": datetime(2026, 3, 2, 8, tzinfo=UTC)}
    >>> judge(hours=calm, limits=Limits(), **booking).need
    'met'

    Source: common practice, no published source.
    """
    for name, value in (("start", start), ("end", end)):
        if value.utcoffset() is None:
            allowed = "times with their time zone"
            raise CalculationError(quantity=name, value=value.isoformat(), allowed=allowed)
    if not timedelta(0) < end.astimezone(UTC) - start.astimezone(UTC) <= 48 * HOUR:
        raise CalculationError(quantity="end", value=end.isoformat(), allowed="more than 0 to 48 h after start")
    known = by_start(hours)
    found = tuple(
        _judged(replace(known[at], site_open=True, daylight=True), known, limits) if at in known else _missing(at)
        for at in _hours_touched(start, end, phase=next(iter(known), start))
    )
    # A forecast may come in UTC: people read the hours by the clock of the booking.
    found = tuple(replace(hour, start=hour.start.astimezone(start.tzinfo)) for hour in found)
    of_itself = tuple(_unusable(site_open=site_open, daylight=daylight))
    needs = {hour.need for hour in found} | {need for need, _ in of_itself}
    span = f"{start:%H:%M} to {end.astimezone(start.tzinfo):%H:%M}"
    return Judgement(
        need=next(need for need in (NOT_MET, UNKNOWN, MET) if need in needs),
        hours=found,
        reasons=(
            *(f"{span}: {reason}" for _, reason in of_itself),
            *(f"{hour.start:%H:%M}: {reason}" for hour in found for reason in hour.reasons),
        ),
    )


def windows(*, hours: Sequence[Hour], limits: Limits, hours_needed: int) -> tuple[Window, ...]:
    """Longest runs of hours that all keep the limits and are long enough, in order of time.

    Parameters: hourly record; limits; hours the test needs [h]. Returns: windows; ``ranked`` puts
    the best first. Raises CalculationError as ``judge_hours``.

    >>> from datetime import UTC, datetime
    >>> gusty = [5.0 if h == 6 else 1.0 for h in range(12)]
    >>> hours = [Hour(start=datetime(2026, 3, 2, h, tzinfo=UTC), wind_mps=v, rain_mm=0) for h, v in enumerate(gusty)]
    >>> [(one.start.hour, one.end.hour) for one in windows(hours=hours, limits=Limits(), hours_needed=3)]
    [(3, 6), (7, 12)]

    Source: common practice, no published source.
    """
    LENGTH.check(hours_needed)
    known = by_start(hours)
    runs: list[list[datetime]] = []
    for at in sorted(known):
        if _judged(known[at], known, limits).need != MET:
            continue
        if runs and at - runs[-1][-1] == HOUR:
            runs[-1].append(at)
        else:
            runs.append([at])
    return tuple(_window([known[at] for at in run]) for run in runs if len(run) >= hours_needed)


def ranked(found: Sequence[Window]) -> tuple[Window, ...]:
    """Windows from the best: longest first, then calmest, then earliest.

    Parameters: windows [h, m/s]. Returns: the same in that order.

    >>> from datetime import UTC, datetime
    >>> def window(hour, hours, wind_mps):
    ...     start = datetime(2026, 3, 2, hour, tzinfo=UTC)
    ...     return Window(start=start, end=start + hours * HOUR, hours=hours, wind_mps=wind_mps)
    >>> [one.start.hour for one in ranked([window(6, 3, 1.0), window(10, 4, 2.5), window(15, 4, 2.0)])]
    [15, 10, 6]

    Source: our own order.
    """
    return tuple(sorted(found, key=lambda window: (-window.hours, window.wind_mps, window.start)))


def _hours_touched(start: datetime, end: datetime, *, phase: datetime) -> Iterator[datetime]:
    at = start.astimezone(UTC)
    at -= (at - phase) % HOUR
    while at < end:
        yield at
        at += HOUR


def _judged(hour: Hour, known: Mapping[datetime, Hour], limits: Limits) -> HourJudgement:
    against = tuple(_against(hour, known, limits))
    needs = {need for need, _ in against}
    return HourJudgement(
        start=hour.start,
        need=next((need for need in (NOT_MET, UNKNOWN) if need in needs), MET),
        reasons=tuple(reason for _, reason in against),
    )


def _against(hour: Hour, known: Mapping[datetime, Hour], limits: Limits) -> Iterator[tuple[str, str]]:
    """What speaks against an hour: (not_met or unknown, why)."""
    yield from _unusable(site_open=hour.site_open, daylight=hour.daylight)
    yield from _over("wind", hour.wind_mps, limits.wind_mps)
    if limits.gust_mps is not None:
        yield from _over("gust", hour.gust_mps, limits.gust_mps)
    yield from _wet(hour, known, limits.drying_h)


def _unusable(*, site_open: bool | None, daylight: bool | None) -> Iterator[tuple[str, str]]:
    if site_open is not True:
        yield (NOT_MET, "the site is closed") if site_open is False else (UNKNOWN, "site hours not known")
    if daylight is not True:
        yield (NOT_MET, "no daylight") if daylight is False else (UNKNOWN, "daylight not known")


def _over(what: str, value: float | None, limit: float) -> Iterator[tuple[str, str]]:
    if value is None:
        yield UNKNOWN, f"{what} not known"
    elif value > limit:
        yield NOT_MET, f"{what} {beside(value, limit)} m/s is over {plain(limit)} m/s"


def _wet(hour: Hour, known: Mapping[datetime, Hour], drying_h: int) -> Iterator[tuple[str, str]]:
    at = hour.start.astimezone(UTC)
    past = [known.get(at - back * HOUR) for back in range(drying_h + 1)]
    rains = [None if one is None else one.rain_mm for one in past]
    wet = [back for back, rain in enumerate(rains) if rain]
    if wet:
        when = "rain in this hour" if wet[0] == 0 else f"rain {wet[0]} h before"
        yield NOT_MET, f"{when} ({beside(rains[wet[0]] or 0.0, 0)} mm), surface taken as wet for {drying_h} h"
    elif None in rains:
        back = rains.index(None)
        yield UNKNOWN, "rain not known in this hour" if back == 0 else f"rain {back} h before not known"


def _missing(at: datetime) -> HourJudgement:
    return HourJudgement(start=at, need=UNKNOWN, reasons=("no forecast for this hour",))


def _window(run: Sequence[Hour]) -> Window:
    last = run[-1].start
    return Window(
        start=run[0].start,
        end=(last.astimezone(UTC) + HOUR).astimezone(last.tzinfo),
        hours=len(run),
        wind_mps=max(hour.wind_mps for hour in run if hour.wind_mps is not None),
    )
