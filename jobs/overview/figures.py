"""Figures of the business. Apps above register their own; this app knows none of them by name."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One line of a figure: what, how much, out of how many."""

    label: str
    value: float | None
    count: int
    remark: str = ""


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A figure with its bars. ``meaning`` says how it is counted, so that nobody has to guess."""

    title: str
    unit: str
    meaning: str
    bars: tuple[Bar, ...]

    @property
    def counted(self):
        """Whether there is anything to draw."""
        return any(bar.value is not None for bar in self.bars)


@dataclass(frozen=True, kw_only=True)
class Period:
    """Days from and until, both included, by the clock of the workshop."""

    first: date
    last: date

    @property
    def begins(self):
        return self._midnight(self.first)

    @property
    def ends(self):
        return self._midnight(self.last + timedelta(days=1))

    def _midnight(self, day):
        return datetime.combine(day, time(), timezone.get_current_timezone())


_sources: dict[str, Callable[[Period], Figure]] = {}


def register(key, source):
    """`source(period)` gives the Figure under that key."""
    _sources[key] = source


def all_figures(period):
    return [(key, source(period)) for key, source in _sources.items()]


def figure(key, period):
    """The figure under that key, or None."""
    source = _sources.get(key)
    return source and source(period)


def median(values):
    """The middle value; between the two middle ones of an even number. None of nothing.

    >>> median([3, 1, 2]), median([4, 1, 2, 3]), median([])
    (2, 2.5, None)
    """
    ordered = sorted(values)
    middle = len(ordered) // 2
    if not ordered:
        return None
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2


def nine_tenths(values):
    """The value that nine tenths do not exceed: the smallest one with at least 90 % at or below it.

    >>> nine_tenths(range(1, 11)), nine_tenths([7]), nine_tenths([])
    (9, 7, None)

    Source: nearest-rank percentile, rank = ⌈0.9 n⌉.
    """
    ordered = sorted(values)
    return ordered[-(-9 * len(ordered) // 10) - 1] if ordered else None
