"""The test day as a sheet to read, below the work-up."""

from collections.abc import Iterator

from .day import Day
from .day_weather import MONTHS
from .sheet_lines import bullets, rows, value

SHOWN = 12


def sheet_day(day: Day) -> str:
    """Weather, ladder and log as text; parts of which nothing is known are left out.

    Parameters: the day [m/s, h, km/h, g, m]. Returns: lines of text, none without parts.

    >>> from vehicles.reference import worked_example
    >>> from .day import day_for
    >>> from .day_inputs import read_day
    >>> run = {"mass": "tm1", "aimed_kmh": 80, "measured_kmh": 80.4, "outcome": "clean"}
    >>> sheet_day(day_for(read_day({"runs": [run]}), done=worked_example())).splitlines()[0]
    'RUNS SO FAR'

    Source: our own format.
    """
    parts = (
        ("WEATHER WINDOWS, THE BEST FIRST", tuple(_windows(day))),
        ("CHANCE OF A WINDOW", tuple(_chances(day))),
        ("RUNS SO FAR", tuple(bullets(step.reason for step in day.ladder))),
        ("RUN LOG", tuple(_passes(day))),
        ("UNDECIDED ABOUT THE DAY", tuple(bullets(day.undecided))),
        ("HOW THE DAY'S NUMBERS CAME ABOUT", tuple(_workings(day))),
    )
    return "\n\n".join("\n".join((title, "-" * len(title), *lines)) for title, lines in parts if lines)


def _windows(day: Day) -> Iterator[str]:
    for one in day.windows[:SHOWN]:
        when = f"{one.start:%d/%m/%Y %H:%M} to {one.end:%H:%M}"
        yield from rows((when, f"{one.hours} h, at most {value(one.wind_mps, 'm/s')}"))
    if len(day.windows) > SHOWN:
        yield f"  and {len(day.windows) - SHOWN} more"


def _chances(day: Day) -> Iterator[str]:
    for one in day.chances:
        when = f"{MONTHS[one.month - 1]}, from {one.start_hour:02d}:00"
        yield from rows((when, f"{one.workable} of {one.judged}"))


def _passes(day: Day) -> Iterator[str]:
    for number, one in enumerate(day.passes, start=1):
        margin = one.nearest.margin_m if one.nearest else None
        yield from rows(
            (f"Pass {number}: entry speed", value(one.entry_kmh, "km/h")),
            (f"Pass {number}: peak lateral", value(one.peak_lateral_g, "g", 2)),
            (f"Pass {number}: nearest margin", value(margin, "m", 2)),
        )
        yield from bullets(one.cautions)


def _workings(day: Day) -> Iterator[str]:
    for one in day.working:
        inputs = "; ".join(f"{name}: {given}" for name, given in one.inputs.items())
        told = value(one.value, one.unit, 2)
        yield from bullets((f"{one.quantity}: {told}. {one.formula}. {inputs}. Source: {one.source}.",))
