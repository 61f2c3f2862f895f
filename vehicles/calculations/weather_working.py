"""How a weather window, the light of a day and a chance of a window came about, laid open for the screen."""

from datetime import date, datetime

from .climatology import bookings_to_be_sure
from .explain import Working
from .hours import HOUR, Limits
from .weather import Window
from .wording import plain

SURETY = 0.9
NOT_JUDGED = "not judged: the place is not known"


def window_working(*, window: Window, limits: Limits, light: tuple[datetime, datetime] | None = None) -> Working:
    """How one window came about: what each of its hours keeps.

    Parameters
    ----------
    window : hours in a row [h], their strongest wind [m/s]
    limits : wind and gust [m/s], drying time [h]
    light : sunrise and sunset, None where daylight was not judged

    Returns
    -------
    Working [h].

    Raises
    ------
    Nothing.

    Example
    -------
    >>> from datetime import UTC
    >>> start = datetime(2026, 3, 2, 7, tzinfo=UTC)
    >>> found = Window(start=start, end=start + 4 * HOUR, hours=4, wind_mps=2.4)
    >>> told = window_working(window=found, limits=Limits())
    >>> told.quantity, told.value, told.inputs["strongest wind of these hours"]
    ('Window 02/03/2026 07:00 to 11:00', 4, '2.4 m/s')

    Source: wind and surface: common practice, no published source; drying time: our assumption.
    """
    inputs = {
        "strongest wind of these hours": f"{plain(window.wind_mps)} m/s",
        "wind limit": f"{plain(limits.wind_mps)} m/s",
        "gust limit": "none" if limits.gust_mps is None else f"{plain(limits.gust_mps)} m/s",
        "drying time": f"{limits.drying_h} h",
        "daylight": NOT_JUDGED if light is None else f"{light[0]:%H:%M} to {light[1]:%H:%M}",
    }
    return Working(
        quantity=f"Window {window.start:%d/%m/%Y %H:%M} to {window.end:%H:%M}",
        formula="full hours in a row, each with wind ≤ limit, no rain in it nor in the drying time before it, "
        "the sun up and the site open",
        inputs=inputs,
        value=window.hours,
        unit="h",
        source="wind and surface: common practice, no published source; drying time: our assumption",
    )


def light_working(*, day: date, light: tuple[datetime, datetime], latitude_deg: float, longitude_deg: float) -> Working:
    """How sunrise and sunset of a day came about.

    Parameters: day at the place; sunrise and sunset; place, north and east positive [°]. Returns:
    Working of the hours between [h]. Raises nothing.

    >>> from datetime import UTC
    >>> sun = datetime(2026, 3, 2, 6, tzinfo=UTC), datetime(2026, 3, 2, 18, 30, tzinfo=UTC)
    >>> light_working(day=date(2026, 3, 2), light=sun, latitude_deg=-33.87, longitude_deg=151.21).value
    12.5

    Source: see ``daylight``.
    """
    rises, sets = light
    return Working(
        quantity=f"Daylight on {day:%d/%m/%Y}",
        formula="sunset − sunrise; cos ω = (sin h − sin φ sin δ) / (cos φ cos δ), h = −50'",
        inputs={
            "φ": f"{plain(latitude_deg)}°",
            "longitude": f"{plain(longitude_deg)}°",
            "sunrise": f"{rises:%H:%M}",
            "sunset": f"{sets:%H:%M}",
        },
        value=(sets - rises) / HOUR,
        unit="h",
        source="low-precision solar coordinates of the Astronomical Almanac; level horizon, mean refraction",
    )


def chance_working(*, when: str, hours_needed: int, judged: int, workable: int, limits: Limits) -> Working:
    """How the share of windows of a month and start hour that worked came about.

    Parameters
    ----------
    when : month and start hour in words [-]
    hours_needed : length of the window [h]
    judged, workable : windows of the record that could be judged, and that worked [-]
    limits : wind [m/s], drying time [h]

    Returns
    -------
    Working, a share of 0 to 1 [-]; None where no window was judged.

    Raises
    ------
    Nothing.

    Example
    -------
    >>> told = chance_working(when="March, from 07:00", hours_needed=4, judged=30, workable=12, limits=Limits())
    >>> told.value, told.inputs["bookings to be 90 % sure"]
    (0.4, '5')

    Source: counting; geometric distribution, bookings taken as independent.
    """
    share = workable / judged if judged else None
    sure = str(bookings_to_be_sure(chance=share, surety=SURETY)) if share else "none would do"
    return Working(
        quantity=f"Chance of a window of {hours_needed} h, {when}",
        formula="p = windows that worked / windows judged; bookings = ⌈ln(1 − s) / ln(1 − p)⌉, s = 0.9",
        inputs={
            "windows judged": str(judged),
            "windows that worked": str(workable),
            "wind limit": f"{plain(limits.wind_mps)} m/s",
            "drying time": f"{limits.drying_h} h",
            "bookings to be 90 % sure": sure,
        },
        value=share,
        source="counting; the past taken as a guide, bookings as independent",
    )
