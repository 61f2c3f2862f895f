"""One made-up drive through the course: what the examples in the docstrings of the run log compute with."""

from dataclasses import dataclass

from .course import Course, lay_out
from .log_samples import Log
from .manoeuvre import Body, body


@dataclass(frozen=True, kw_only=True)
class Drive:
    """A log with the course that it leads through and the body that was driven: what `runlog.analyse` takes."""

    log: Log
    course: Course
    body: Body


def driven(kmh: float) -> Drive:
    """A car 1.8 m wide that waves through its course at constant speed, 50 samples a second.

    Parameters: speed [km/h]. Returns: Drive, its log in s, m, m/s and m/s². Raises nothing.

    >>> drive = driven(72)
    >>> round(float(drive.log.speed_mps[0]), 3), drive.course.length_m
    (20.0, 125.0)

    Source: made up; y is 1.1 m + 1 m · sin t, its second derivative the lateral acceleration.
    """
    import numpy as np

    time = np.arange(-2, 8, 0.02)
    log = Log(
        time_s=time + 2,
        x_m=time * kmh / 3.6,
        y_m=1.1 + np.sin(time),
        speed_mps=np.full_like(time, kmh / 3.6),
        lateral_mps2=-np.sin(time),
    )
    shape = body(width_m=1.8, length_m=4.8, front_overhang_m=0.9, wheelbase_m=2.8)
    return Drive(log=log, course=lay_out(width_mm=1800), body=shape)
