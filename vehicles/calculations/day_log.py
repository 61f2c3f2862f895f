"""Every pass of the log that lies beside a case file."""

from collections.abc import Iterator, Mapping

from .course import Course
from .errors import CalculationError
from .explain import Working
from .log_formats_csv import Column, read_csv
from .manoeuvre import Body
from .run_working import pass_workings
from .runlog import Analysis, Log, analyse, passes


class DayLog:
    """What each pass of a log came to. What cannot be analysed is named in ``undecided``."""

    def __init__(self, text: str, *, columns: Mapping[str, Column], course: Course, body: Body) -> None:
        track = read_csv(text, columns=columns)
        channels = track.channels
        log = Log(
            time_s=track.time_s,
            x_m=channels["x"],
            y_m=channels["y"],
            speed_mps=channels["speed"],
            lateral_mps2=channels["lateral"],
        )
        self.passes: list[Analysis] = []
        self.undecided: list[str] = []
        found = passes(log=log, course=course)
        if not found:
            self.undecided.append("log: no pass from before section 1 to past section 6 in it; check its columns")
        for number, one in enumerate(found, start=1):
            try:
                self.passes.append(analyse(log=one, course=course, body=body))
            except CalculationError as error:
                self.undecided.append(f"log, pass {number}: {error}")

    def workings(self) -> Iterator[Working]:
        """How the numbers of each pass came about."""
        for one in self.passes:
            nearest = one.nearest
            yield from pass_workings(
                entry_kmh=one.entry_kmh,
                entry_error_kmh=one.entry_error_kmh,
                exit_kmh=one.exit_kmh,
                peak_lateral_g=one.peak_lateral_g,
                peak_at_m=one.peak_at_m,
                nearest_cone=one.course.cones.index(nearest.cone) + 1 if nearest else None,
                nearest_m=nearest.margin_m if nearest else None,
                rate_hz=one.rate_hz,
                filtered=one.filter,
            )
