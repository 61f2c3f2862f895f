"""The test day of a case file: windows of weather, what the runs open, what a log says."""

from dataclasses import asdict, dataclass

from .day_inputs import DayInputs
from .day_log import DayLog
from .day_weather import Chance, DayWeather
from .explain import Working
from .hours import Limits
from .manoeuvre import body
from .plain_data import clean, without
from .run_record import MASSES
from .run_working import ladder_working
from .runlog import Analysis
from .speeds import Progress, progress
from .weather import Window
from .workup import WorkUp


@dataclass(frozen=True, kw_only=True)
class Day:
    """What the case file lets be said of the test day; empty where it says nothing."""

    windows: tuple[Window, ...]
    chances: tuple[Chance, ...]
    ladder: tuple[Progress, ...]
    passes: tuple[Analysis, ...]
    undecided: tuple[str, ...]
    working: tuple[Working, ...]

    def as_dict(self) -> dict[str, object]:
        """The day as plain data, for ``--format json``: times with their offset, traces left out."""
        plain: dict[str, object] = clean(
            {
                "windows": [asdict(one) | {"start": str(one.start), "end": str(one.end)} for one in self.windows],
                "chances": [asdict(one) for one in self.chances],
                "ladder": [asdict(one) for one in self.ladder],
                "passes": [without(one, "course", "trace", "margins") for one in self.passes],
                "undecided": self.undecided,
                "working": [asdict(one) for one in self.working],
            }
        )
        return plain


def day_for(inputs: DayInputs, *, done: WorkUp, log_text: str | None = None) -> Day:
    """Weather, ladder and log of one case, with how each came about.

    Parameters
    ----------
    inputs : what the case file says of the day [m/s, mm, km/h]
    done : its work-up, for course, body, ladder and wind limit
    log_text : the text of the log that ``inputs`` names, None without one [-]

    Returns
    -------
    Day: windows the best first; the likeliest start of each month where the hours reach over 28
    days or more; where each mass stands; each pass of the log. What a log or a ladder lacks is
    named in ``undecided``.

    Raises
    ------
    LogProblem : a log that cannot be read, with its line.

    Example
    -------
    >>> from vehicles.reference import worked_example
    >>> from .day_inputs import read_day
    >>> run = {"mass": "tm1", "aimed_kmh": 80, "measured_kmh": 80.4, "outcome": "clean"}
    >>> [step.next_kmh for step in day_for(read_day({"runs": [run]}), done=worked_example()).ladder]
    [90, 80]

    Source: each part names its own.
    """
    limits = Limits(wind_mps=done.rules.value("wind.limit_mps"))
    weather = DayWeather(inputs.weather, limits=limits) if inputs.weather else None
    ladder = done.speeds.ladder_kmh
    asked = tuple(MASSES) if inputs.runs and ladder else ()
    steps = tuple(progress(ladder=ladder, runs=inputs.runs, mass=mass) for mass in asked)
    log = _log(log_text, inputs, done)
    return Day(
        windows=weather.windows if weather else (),
        chances=weather.chances if weather else (),
        ladder=steps,
        passes=tuple(log.passes) if log else (),
        undecided=(*_undecided(inputs, done, asked), *(log.undecided if log else ())),
        working=(
            *(weather.workings() if weather else ()),
            *(ladder_working(step=step, ladder=ladder, runs=inputs.runs) for step in steps),
            *(log.workings() if log else ()),
        ),
    )


def _undecided(inputs: DayInputs, done: WorkUp, asked: tuple[str, ...]) -> tuple[str, ...]:
    found = []
    if inputs.runs and not asked:
        found.append("runs: the target speed is undecided, so no ladder is known that they could open")
    if inputs.log and not (done.course and done.case.vehicle.overall_length_mm):
        found.append("log: overall width and length of the vehicle are needed for its course and its margins")
    return tuple(found)


def _log(text: str | None, inputs: DayInputs, done: WorkUp) -> DayLog | None:
    vehicle = done.case.vehicle
    width, length = vehicle.overall_width_mm, vehicle.overall_length_mm
    if text is None or inputs.log is None or done.course is None or width is None or length is None:
        return None
    shape = body(
        width_m=width / 1000,
        length_m=length / 1000,
        front_overhang_m=vehicle.front_overhang_mm and vehicle.front_overhang_mm / 1000,
        wheelbase_m=vehicle.wheelbase_mm and vehicle.wheelbase_mm / 1000,
    )
    return DayLog(text, columns=inputs.log.columns, course=done.course, body=shape)
