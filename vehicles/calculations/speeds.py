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
    failures. A speed below the ladder that failed is repeated before the ladder opens again.
    Runs that do not count, and runs driven after a stop that nobody released, are left out.

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
    climb = _Climb(ladder=tuple(ladder))
    for place, run in enumerate(runs):
        if run.mass != mass or not run.counts or climb.passed or climb.failures >= failures_allowed:
            continue
        climb.last = run
        if run.outcome != "clean":
            climb.fail(run, counted=place >= released_at)
        elif run.measured_kmh is not None and run.measured_kmh >= run.aimed_kmh - tolerance_kmh:
            climb.do(run)
    stopped = not climb.passed and climb.failures >= failures_allowed
    return Progress(
        mass=mass,
        clean_kmh=ladder[climb.rung - 1] if climb.rung else None,
        next_kmh=None if climb.passed or stopped else climb.open_kmh,
        passed=climb.passed,
        stopped=stopped,
        reason=f"{MASSES[mass]}: {_reason(climb, stopped=stopped)}",
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


@dataclass(kw_only=True)
class _Climb:
    """The climb of one mass. ``held_kmh`` is a failed speed below the ladder, to be repeated first."""

    ladder: tuple[int, ...]
    rung: int = 0
    failures: int = 0
    held_kmh: int | None = None
    last: RunRecord | None = None

    @property
    def passed(self) -> bool:
        return self.rung == len(self.ladder)

    @property
    def open_kmh(self) -> int:
        return self.ladder[self.rung] if self.held_kmh is None else self.held_kmh

    def fail(self, run: RunRecord, *, counted: bool) -> None:
        """Fall back to the speed that failed, or to the rung below it."""
        below = sum(rung <= run.aimed_kmh for rung in self.ladder)
        self.rung = min(self.rung, max(0, below - 1))
        if not below:
            self.held_kmh = min(run.aimed_kmh, self.open_kmh)
        self.failures += counted

    def do(self, run: RunRecord) -> None:
        """Count a clean run when it was driven at the speed that was open."""
        if run.aimed_kmh != self.open_kmh:
            return
        self.rung += self.held_kmh is None
        self.held_kmh = None
        self.failures = 0


def _reason(climb: _Climb, *, stopped: bool) -> str:
    if climb.passed:
        return f"clean at the target of {climb.ladder[-1]} km/h."
    if stopped:
        return f"{climb.failures} failed runs in a row; stop, the engineer decides how to go on."
    last, speed = climb.last, climb.open_kmh
    if last is None:
        return f"first attempt at {speed} km/h or below."
    if last.outcome != "clean":
        return f"the last run failed; repeat at {speed} km/h with the cones reset."
    if climb.rung and last.aimed_kmh == climb.ladder[climb.rung - 1]:
        return f"clean at {last.aimed_kmh} km/h opens {speed} km/h."
    return f"the last run at {last.aimed_kmh} km/h opens nothing further; {speed} km/h is open."
