"""Windows, light and chances of the hours that a case file gives."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from .climatology import chances, from_hours
from .day_inputs import Weather
from .daylight import daylight
from .explain import Working
from .hours import Limits
from .weather import Window, ranked, windows
from .weather_working import chance_working, light_working, window_working

# A chance by month and hour is counted from a record, not from the forecast of a week.
LEAST_RECORD = timedelta(days=28)
# A year has hundreds of windows: those at the top are the ones that anybody opens.
OPENED = 12
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Chance:
    """The likeliest start of a month: windows judged, windows that worked."""

    month: int
    start_hour: int
    judged: int
    workable: int


class DayWeather:
    """What the hours of a case come to under these limits: windows the best first, chances by month."""

    def __init__(self, given: Weather, *, limits: Limits) -> None:
        self.given, self.limits = given, limits
        self.windows: tuple[Window, ...] = ranked(
            windows(hours=given.hours, limits=limits, hours_needed=given.hours_needed)
        )
        self.chances: tuple[Chance, ...] = tuple(self._chances())

    def _chances(self) -> Iterator[Chance]:
        starts = [hour.start for hour in self.given.hours]
        if not starts or max(starts) - min(starts) < LEAST_RECORD:
            return
        found = chances(record=from_hours(self.given.hours), limits=self.limits, hours_needed=self.given.hours_needed)
        for month in range(1, 13):
            for hour in found.best_hours(month=month)[:1]:
                at = (0, month - 1, hour)
                judged, workable = int(found.judged[at]), int(found.workable[at])
                yield Chance(month=month, start_hour=hour, judged=judged, workable=workable)

    def workings(self) -> Iterator[Working]:
        """How the best windows, the light of their days and the chances came about."""
        opened = self.windows[:OPENED]
        light = self._light({window.start.date() for window in opened})
        for day in sorted(light):
            yield light[day][1]
        for window in opened:
            sun = light.get(window.start.date())
            yield window_working(window=window, limits=self.limits, light=sun and sun[0])
        for one in self.chances:
            yield chance_working(
                when=f"{MONTHS[one.month - 1]}, from {one.start_hour:02d}:00",
                hours_needed=self.given.hours_needed,
                judged=one.judged,
                workable=one.workable,
                limits=self.limits,
            )

    def _light(self, days: set[date]) -> dict[date, tuple[tuple[datetime, datetime], Working]]:
        if self.given.place is None:
            return {}
        (latitude, longitude), zone = self.given.place, self.given.zone
        found = {}
        for day in days:
            sun = daylight(latitude_deg=latitude, longitude_deg=longitude, day=day)
            ends = sun.sunrise.astimezone(zone), sun.sunset.astimezone(zone)
            found[day] = ends, light_working(day=day, light=ends, latitude_deg=latitude, longitude_deg=longitude)
        return found
