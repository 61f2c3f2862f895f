"""The speed ladder: how fast the first run may be, and what a history of runs opens next."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from .errors import CalculationError
from .ranges import Range
from .run_record import AIMED, MASSES, SPEED, RunRecord

__all__ = ["MASSES", "SPEED", "Progress", "RunRecord", "ladder", "progress"]

STEP = Range(name="step_kmh", label="Step of the ladder", low=1, high=10, unit="km/h", whole=True)
FAILURES = Range(name="failures_allowed", label="Failures in a row", low=1, high=10, unit="", whole=True)
TOLERANCE = Range(name="tolerance_kmh", label="Speed tolerance", low=0, high=5, unit="km/h")
# A run that failed within this of a rung failed at the rung; further below it, at what was measured.
NEAR_KMH = 3
# A run this far above what it aimed at was not under control, or its speed was written down wrongly.
FAST_KMH = 5


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
    cautions: tuple[str, ...] = ()


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
    CalculationError : speeds outside whole 5 to 150 km/h, step outside whole 1 to 10 km/h.

    Example
    -------
    >>> ladder(target_kmh=110, first_max_kmh=80)
    (80, 90, 100, 110)
    >>> ladder(target_kmh=100, first_max_kmh=60)
    (60, 70, 80, 90, 100)

    Source: common practice, no published source.
    """
    # A whole number that comes as 110.0 is a whole number.
    target, first = int(AIMED.check(target_kmh)), int(AIMED.check(first_max_kmh))
    return (*range(first, target, int(STEP.check(step_kmh))), target)


def progress(
    *,
    ladder: Sequence[int],
    runs: Sequence[RunRecord],
    mass: str,
    tolerance_kmh: float = 0,
    failures_allowed: int = 3,
    releases: Sequence[int] = (),
) -> Progress:
    """What the runs so far, in the order driven, open at one mass.

    A rung is done by a clean, counting run that aims at it and measures at least its speed less
    the tolerance. A failed or aborted run is repeated at its own speed, even when that is below
    what was open: the speed it aimed at, or what was measured when that is more than 3 km/h less.
    That many failures in a row stop the climb.

    Parameters
    ----------
    ladder : speeds, rising [km/h]
    runs : all runs of the job in the order driven; other masses are skipped
    mass : "tm1" or "tm2" [-]
    tolerance_kmh : how far the measured speed may fall short, 0 to 5 [km/h]
    failures_allowed : failures in a row that stop the climb, 1 to 10 [-]
    releases : for each time that the engineer let the climb go on, the number of runs driven by
        then [-]

    Returns
    -------
    Progress. Passed means a clean counting run at the target, once it was open; later runs
    do not undo it. A run measured more than 5 km/h above its aim is named in ``cautions``.

    Raises
    ------
    CalculationError : an unknown mass, an empty or falling ladder, a limit out of range.

    Notes
    -----
    A run above the speed that was open proves nothing when clean and counts as a failure when
    not. A clean run that was too slow or not measured neither opens a rung nor ends a row of
    failures. Each speed below the ladder that failed is repeated, the lowest first, before the
    ladder opens again; one that was measured there is taken to the nearest 5 km/h.
    Runs that do not count, and runs driven between a stop and its release, are left out. A
    release begins a new row of failures.

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
        if place in releases:
            climb.failures = 0
        if run.mass != mass or not run.counts or climb.passed or climb.failures >= failures_allowed:
            continue
        climb.last = run
        climb.mark(run)
        if run.outcome != "clean":
            climb.fail(run)
        elif run.measured_kmh is not None and run.measured_kmh >= run.aimed_kmh - tolerance_kmh:
            climb.do(run)
    if len(runs) in releases:
        climb.failures = 0
    stopped = not climb.passed and climb.failures >= failures_allowed
    return Progress(
        mass=mass,
        clean_kmh=ladder[climb.rung - 1] if climb.rung else None,
        next_kmh=None if climb.passed or stopped else climb.open_kmh,
        passed=climb.passed,
        stopped=stopped,
        reason=f"{MASSES[mass]}: {_reason(climb, stopped=stopped)}",
        cautions=tuple(climb.cautions),
    )


@dataclass(kw_only=True)
class _Climb:
    """The climb of one mass. ``held_kmh`` are failed speeds below the ladder, to be repeated first."""

    ladder: tuple[int, ...]
    rung: int = 0
    failures: int = 0
    held_kmh: set[int] = field(default_factory=set)
    last: RunRecord | None = None
    cautions: list[str] = field(default_factory=list)

    @property
    def passed(self) -> bool:
        return self.rung == len(self.ladder)

    @property
    def open_kmh(self) -> int:
        return min(self.held_kmh, default=self.ladder[self.rung])

    def mark(self, run: RunRecord) -> None:
        """Name a run that was much faster than it aimed at."""
        if run.measured_kmh is not None and run.measured_kmh > run.aimed_kmh + FAST_KMH:
            self.cautions.append(
                f"A run that aimed at {run.aimed_kmh} km/h was measured at {_whole(run.measured_kmh)} km/h: hold the "
                f"speed, or mend what was written down."
            )

    def fail(self, run: RunRecord) -> None:
        """Fall back to the speed that failed, or to the rung below it."""
        failed = run.aimed_kmh if run.measured_kmh is None else min(run.aimed_kmh, run.measured_kmh + NEAR_KMH)
        below = sum(rung <= failed for rung in self.ladder)
        self.rung = min(self.rung, max(0, below - 1))
        if not below:
            self.held_kmh.add(_failed_kmh(run))
        self.failures += 1

    def do(self, run: RunRecord) -> None:
        """Count a clean run when it was driven at the speed that was open."""
        if run.aimed_kmh != self.open_kmh:
            return
        if self.held_kmh:
            self.held_kmh.remove(run.aimed_kmh)
        else:
            self.rung += 1
        self.failures = 0


def _slow(run: RunRecord) -> bool:
    return run.measured_kmh is not None and run.measured_kmh + NEAR_KMH < run.aimed_kmh


def _failed_kmh(run: RunRecord) -> int:
    """The speed below the ladder to repeat: one that can be aimed at."""
    if run.measured_kmh is None or not _slow(run):
        return run.aimed_kmh
    return max(int(SPEED.low), 5 * _whole(run.measured_kmh / 5))


def _whole(value: float) -> int:
    return int(value + 0.5)


def _reason(climb: _Climb, *, stopped: bool) -> str:
    if climb.passed:
        return f"clean at the target of {climb.ladder[-1]} km/h."
    if stopped:
        return f"{climb.failures} failed runs in a row; stop, the engineer decides how to go on."
    last, speed = climb.last, climb.open_kmh
    if last is None:
        return f"first attempt at {speed} km/h or below."
    if last.outcome != "clean":
        at = f" at {_whole(last.measured_kmh)} km/h" if last.measured_kmh is not None and _slow(last) else ""
        return f"the last run failed{at}; repeat at {speed} km/h with the cones reset."
    if climb.held_kmh:
        return (
            f"the last run at {last.aimed_kmh} km/h opens nothing further; {speed} km/h failed and is repeated first."
        )
    if climb.rung and last.aimed_kmh == climb.ladder[climb.rung - 1]:
        return f"clean at {last.aimed_kmh} km/h opens {speed} km/h."
    return f"the last run at {last.aimed_kmh} km/h opens nothing further; {speed} km/h is open."
