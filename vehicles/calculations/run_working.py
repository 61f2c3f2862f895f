"""How the next speed of the ladder and the numbers of a logged pass came about, laid open for the screen."""

from collections.abc import Iterator, Sequence

from .explain import Working
from .run_record import MASSES, RunRecord
from .speeds import Progress
from .wording import fixed, plain

OUTCOME = {"clean": "clean", "cones": "cones moved", "aborted": "aborted"}
KINEMATICS = "kinematics; checked on synthetic runs with known answers"


def ladder_working(
    *,
    step: Progress,
    ladder: Sequence[int],
    runs: Sequence[RunRecord],
    failures_allowed: int = 3,
    numbers: Sequence[int] | None = None,
) -> Working:
    """How the speed that is open at one mass follows from the history of runs.

    Parameters
    ----------
    step : where the mass stands [km/h]
    ladder : speeds, rising [km/h]
    runs : all runs in the order driven, those of the other mass are left out [km/h]
    failures_allowed : failures in a row that stop the climb [-]
    numbers : what each run is called on its sheet; None counts from 1 [-]

    Returns
    -------
    Working [km/h]; its value is None when the mass has passed or the climb is stopped.

    Raises
    ------
    Nothing.

    Example
    -------
    >>> from .speeds import progress
    >>> first = RunRecord(mass="tm1", aimed_kmh=80, measured_kmh=80.4, outcome="clean")
    >>> step = progress(ladder=(80, 90), runs=[first], mass="tm1")
    >>> told = ladder_working(step=step, ladder=(80, 90), runs=[first])
    >>> told.value, told.inputs["run 1"]
    (90, '80 km/h aimed at, 80.4 km/h measured, clean')

    Source: common practice, no published source.
    """
    called = range(1, len(runs) + 1) if numbers is None else numbers
    told = {f"run {number}": _told(run) for number, run in zip(called, runs, strict=True) if run.mass == step.mass}
    return Working(
        quantity=f"Next speed at {MASSES[step.mass]}",
        formula="one rung above the highest that was driven clean in order; a failed speed is repeated first; "
        "failures in a row stop the climb",
        inputs={
            "ladder": f"{', '.join(map(str, ladder))} km/h",
            "failures that stop": str(failures_allowed),
            **(told or {"runs": "none yet"}),
            "so": step.reason,
        },
        value=step.next_kmh,
        unit="km/h",
        source="common practice, no published source",
    )


def _told(run: RunRecord) -> str:
    measured = "not measured" if run.measured_kmh is None else f"{plain(run.measured_kmh)} km/h measured"
    counts = "" if run.counts else ", does not count"
    return f"{run.aimed_kmh} km/h aimed at, {measured}, {OUTCOME[run.outcome]}{counts}"


def pass_workings(
    *,
    entry_kmh: float | None,
    entry_error_kmh: float | None,
    exit_kmh: float | None,
    peak_lateral_g: float | None,
    peak_at_m: float | None,
    nearest_cone: int | None,
    nearest_m: float | None,
    rate_hz: float,
    filtered: str,
) -> Iterator[Working]:
    """How entry speed, speed kept, peak and nearest margin of one pass came about.

    Parameters
    ----------
    entry_kmh, entry_error_kmh, exit_kmh : speeds at the first and last cones, error of the first [km/h]
    peak_lateral_g, peak_at_m : greatest lateral acceleration and its place [g, m]
    nearest_cone, nearest_m : number of the nearest cone, its distance from the body [-, m]
    rate_hz : sampling rate [Hz]
    filtered : the filter in words [-]

    Returns
    -------
    Working of each; a value that is not known is None [km/h, -, g, m].

    Raises
    ------
    Nothing.

    Example
    -------
    >>> told = pass_workings(entry_kmh=80, entry_error_kmh=0.1, exit_kmh=76, peak_lateral_g=0.62, peak_at_m=58,
    ...                      nearest_cone=7, nearest_m=0.17, rate_hz=100, filtered="low-pass, 4 Hz")
    >>> [(one.quantity, one.value) for one in told][:2]
    [('Entry speed', 80), ('Speed kept', 0.95)]

    Source: kinematics; plane geometry.
    """
    smooth = {"filter": filtered, "sampling rate": f"{rate_hz:.4g} Hz"}
    yield Working(
        quantity="Entry speed",
        formula="3.6 v at x = 0, filtered; ± two standard deviations of its noise",
        inputs=smooth | {"±": _value(entry_error_kmh, "km/h")},
        value=entry_kmh,
        unit="km/h",
        source=KINEMATICS,
    )
    yield Working(
        quantity="Speed kept",
        formula="speed at the last cones / speed at the first",
        inputs={"at the last cones": _value(exit_kmh, "km/h"), "at the first": _value(entry_kmh, "km/h")},
        value=exit_kmh / entry_kmh if entry_kmh and exit_kmh is not None else None,
        source=KINEMATICS,
    )
    yield Working(
        quantity="Peak lateral acceleration",
        formula="max |a| / g between the first and the last cones, filtered; roll and bias of the sensor are in it",
        inputs=smooth | {"at": _value(peak_at_m, "m"), "g": "9.80665 m/s²"},
        value=peak_lateral_g,
        unit="g",
        source=KINEMATICS,
    )
    yield Working(
        quantity="Nearest margin",
        formula="least distance from a cone to the rectangle of the body along the path, without sideslip",
        inputs={"cone": "not known" if nearest_cone is None else str(nearest_cone)},
        value=nearest_m,
        unit="m",
        source="plane geometry; mirrors and the height of cones left out",
    )


def _value(value: float | None, unit: str) -> str:
    return "not known" if value is None else f"{fixed(value)} {unit}"
