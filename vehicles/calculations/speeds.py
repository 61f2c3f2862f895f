"""The speed ladder: how fast the first run may be, and what a history of runs opens next."""

from collections.abc import Sequence
from dataclasses import dataclass

from .errors import CalculationError
from .ranges import Range
from .run_record import MASSES, SPEED, RunRecord

__all__ = ["MASSES", "SPEED", "Progress", "RunRecord", "ladder", "next_runs", "progress"]

STEP = Range(name="step_kmh", label="Step of the ladder", low=1, high=10, unit="km/h", whole=True)
FAILURES = Range(name="failures_allowed", label="Failures in a row", low=1, high=10, unit="", whole=True)
TOLERANCE = Range(name="tolerance_kmh", label="Speed tolerance", low=0, high=5, unit="km/h")


@dataclass(frozen=True, kw_only=True)
class Progress:
    """Where one mass stands on the ladder: the highest rung driven clean, and what opens next.

    ``next_kmh`` is None when the mass has passed or when the climb is stopped.
    """

    mass: str
    clean_kmh: int | None
    next_kmh: int | None
    passed: bool
    stopped: bool
    reason: str


def ladder(*, target_kmh: int, first_max_kmh: int, step_kmh: int = 10) -> tuple[int, ...]:
    """Speeds of the climb: from the first allowed speed in equal steps, the last one cut to fit.

    Parameters
    ----------
    target_kmh : speed of the resulting category [km/h]
    first_max_kmh : highest speed of the first attempt [km/h]
    step_kmh : step, at most 10 [km/h]

    Returns
    -------
    Speeds from the first to the target [km/h]; the target alone when it is the lower.

    Raises
    ------
    CalculationError : speeds outside 5 to 150 km/h, step outside 1 to 10 km/h.

    Example
    -------
    >>> ladder(target_kmh=110, first_max_kmh=80)
    (80, 90, 100, 110)
    >>> ladder(target_kmh=100, first_max_kmh=60)
    (60, 70, 80, 90, 100)

    Source: common practice, no published source.
    """
    SPEED.check(target_kmh)
    SPEED.check(first_max_kmh)
    STEP.check(step_kmh)
    return (*range(first_max_kmh, target_kmh, step_kmh), target_kmh)


def progress(
    *,
    ladder: Sequence[int],
    runs: Sequence[RunRecord],
    mass: str,
    tolerance_kmh: float = 0,
    failures_allowed: int = 3,
    released_at: int = 0,
) -> Progress:
    """What the runs so far, in the order driven, open at one mass.

    A rung is done by a clean, counting run that aims at it and measures at least its speed less
    the tolerance. A failed or aborted run is repeated at its own speed, even when that is below
    what was open. That many failures in a row stop the climb.

    Parameters
    ----------
    ladder : speeds, rising [km/h]
    runs : all runs of the job in the order driven; other masses are skipped
    mass : "tm1" or "tm2" [-]
    tolerance_kmh : how far the measured speed may fall short, 0 to 5 [km/h]
    failures_allowed : failures in a row that stop the climb, 1 to 10 [-]
    released_at : number of runs driven when the engineer last released a stopped climb [-]

    Returns
    -------
    Progress. Passed means a clean counting run at the target, once it was open; later runs
    do not undo it.

    Raises
    ------
    CalculationError : an unknown mass, an empty or falling ladder, a limit out of range.

    Notes
    -----
    A run above the speed that was open proves nothing when clean and counts as a failure when
    not. A clean run that was too slow or not measured neither opens a rung nor ends a row of
    failures. Runs that do not count are left out altogether.

    Example
    -------
    >>> first = RunRecord(mass="tm1", aimed_kmh=80, measured_kmh=80.4, outcome="clean")
    >>> progress(ladder=(80, 90), runs=[first], mass="tm1").next_kmh
    90

    Source: common practice, no published source.
    """
    if mass not in MASSES:
        raise CalculationError(quantity="mass", value=repr(mass), allowed=" or ".join(MASSES))
    if not ladder or list(ladder) != sorted(set(ladder)):
        raise CalculationError(quantity="ladder", value=tuple(ladder), allowed="speeds, each above the last")
    FAILURES.check(failures_allowed)
    TOLERANCE.check(tolerance_kmh)
    rung = failures = 0
    last = None
    for place, run in enumerate(runs):
        if run.mass != mass or not run.counts or rung == len(ladder):
            continue
        last = run
        if run.outcome != "clean":
            rung = min(rung, _rung_not_above(ladder, run.aimed_kmh))
            failures += place >= released_at
        elif run.aimed_kmh == ladder[rung] and _fast_enough(run, tolerance_kmh):
            rung += 1
            failures = 0
    passed = rung == len(ladder)
    stopped = not passed and failures >= failures_allowed
    return Progress(
        mass=mass,
        clean_kmh=ladder[rung - 1] if rung else None,
        next_kmh=None if passed or stopped else ladder[rung],
        passed=passed,
        stopped=stopped,
        reason=f"{MASSES[mass]}: " + _reason(ladder=ladder, rung=rung, last=last, failures=failures, stopped=stopped),
    )


def next_runs(
    *,
    ladder: Sequence[int],
    runs: Sequence[RunRecord],
    tolerance_kmh: float = 0,
    failures_allowed: int = 3,
    released_at: int = 0,
) -> tuple[Progress, ...]:
    """What may be driven next at each of the two masses, and why: ``progress`` for both.

    Parameters, limits and source as ``progress``. The masses climb independently: a rung done at
    one mass opens nothing at the other.

    >>> [p.next_kmh for p in next_runs(ladder=(80, 90), runs=[])]
    [80, 80]
    """
    return tuple(
        progress(
            ladder=ladder,
            runs=runs,
            mass=mass,
            tolerance_kmh=tolerance_kmh,
            failures_allowed=failures_allowed,
            released_at=released_at,
        )
        for mass in MASSES
    )


def _rung_not_above(ladder: Sequence[int], speed_kmh: int) -> int:
    return max(0, sum(rung <= speed_kmh for rung in ladder) - 1)


def _fast_enough(run: RunRecord, tolerance_kmh: float) -> bool:
    return run.measured_kmh is not None and run.measured_kmh >= run.aimed_kmh - tolerance_kmh


def _reason(*, ladder: Sequence[int], rung: int, last: RunRecord | None, failures: int, stopped: bool) -> str:
    if rung == len(ladder):
        return f"clean at the target of {ladder[-1]} km/h."
    if stopped:
        return f"{failures} failed runs in a row; stop, the engineer decides how to go on."
    speed = ladder[rung]
    if last is None:
        return f"first attempt at {speed} km/h or below."
    if last.outcome != "clean":
        return f"the last run failed; repeat at {speed} km/h with the cones reset."
    if rung and last.aimed_kmh == ladder[rung - 1]:
        return f"clean at {last.aimed_kmh} km/h opens {speed} km/h."
    return f"the last run at {last.aimed_kmh} km/h does not count for the ladder; {speed} km/h is open."
