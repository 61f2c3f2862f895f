"""The demand of the course held against what the vehicle has: where to begin, where to be careful."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .explain import Working
from .manoeuvre import CAUTION, Demand
from .ranges import Range
from .speeds import MASSES, SPEED
from .stability import Stability

ROOM, CAREFUL, OVER = "room", "careful", "over"
# Clean simulated runs needed 1.2 to 1.6 times the least demand; with 1.7 little is left.
REAL_FACTOR = 1.7
GRIP_LOW_G = 0.65
GRIP = Range(name="grip_g", label="Grip of tyres on the surface", low=0.2, high=1.5, unit="g")
SOURCE = "least demand against de-rated roll threshold and grip; grip and margins from memory"


@dataclass(frozen=True, kw_only=True)
class Row:
    """One speed at one mass: demand, the lowest limit, which limit that is, and what it leaves.

    ``measured`` says that the roll threshold rests on a measured height, ``estimated`` that the
    limit itself is an estimate.
    """

    mass: str
    speed_kmh: int
    demand_g: float
    limit_g: float
    limited_by: str
    measured: bool
    estimated: bool
    state: str
    reason: str


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """All speeds at both masses, a suggested first speed and the speeds at which to be careful."""

    rows: tuple[Row, ...]
    first_kmh: int | None
    careful_kmh: tuple[int, ...]
    over_kmh: tuple[int, ...]
    reason: str
    undecided: tuple[str, ...]
    caution: str = CAUTION


def outlook(
    *,
    demands: Sequence[Demand],
    stability: Sequence[Stability],
    first_max_kmh: int,
    grip_low_g: float = GRIP_LOW_G,
) -> Outlook:
    """Hold the least demand against the low ends of roll threshold and grip, at each mass.

    A speed has room when 1.7 times its demand stays within the lowest limit, asks for care when
    only the demand itself does, and is over when not even that does.

    Parameters
    ----------
    demands : least demand at each speed [g]
    stability : stability at the test masses, its roll threshold or the estimate of it [g]
    first_max_kmh : highest speed of the first attempt by the rules [km/h]
    grip_low_g : least grip to count on [g]

    Returns
    -------
    Outlook. The suggested first speed is the highest up to the rules' limit with room at both
    masses, None when there is none.

    Raises
    ------
    CalculationError : speed or grip out of range.

    Notes
    -----
    Planning aid only. A roll threshold that rests on an estimate says so; where there is neither,
    grip alone is judged and the result says what to measure. Factor and grip are assumptions:
    clean runs simulated with a multi-body model needed 1.2 to 1.6 times the least demand.

    Example
    -------
    >>> from vehicles.reference import worked_example
    >>> done = worked_example(with_demand=True)
    >>> found = outlook(demands=done.demand, stability=done.stability, first_max_kmh=80)
    >>> found.first_kmh, found.rows[0].limited_by, found.rows[0].state
    (80, 'grip', 'room')

    Source: see SOURCE.
    """
    SPEED.check(first_max_kmh)
    GRIP.check(grip_low_g)
    rows = tuple(_row(demand=demand, stability=one, grip_g=grip_low_g) for one in stability for demand in demands)
    worst = {demand.speed_kmh: {row.state for row in rows if row.speed_kmh == demand.speed_kmh} for demand in demands}
    free = [speed for speed, states in worst.items() if states == {ROOM} and speed <= first_max_kmh]
    first = max(free, default=None)
    reason = f"No speed up to {first_max_kmh} km/h leaves room at both masses: the engineer decides."
    if first is not None:
        reason = f"{first} km/h is the highest speed up to {first_max_kmh} km/h with room at both masses."
    reason += _unsure(stability)
    return Outlook(
        rows=rows,
        first_kmh=first,
        careful_kmh=tuple(speed for speed, states in worst.items() if CAREFUL in states and OVER not in states),
        over_kmh=tuple(speed for speed, states in worst.items() if OVER in states),
        reason=reason,
        undecided=tuple(dict.fromkeys(text for one in stability for text in one.undecided)),
    )


def _row(*, demand: Demand, stability: Stability, grip_g: float) -> Row:
    roll_g, estimated = stability.threshold_low_g, False
    if roll_g is None and stability.estimated is not None:
        roll_g, estimated = stability.estimated.threshold_low_g, True
    by_roll = roll_g is not None and roll_g < grip_g
    limit = roll_g if roll_g is not None and by_roll else grip_g
    state = OVER if demand.peak_lateral_g > limit else CAREFUL
    if demand.peak_lateral_g * REAL_FACTOR <= limit:
        state = ROOM
    name = _limit_named(by_roll=by_roll, known=roll_g is not None, estimated=estimated)
    return Row(
        mass=stability.mass,
        speed_kmh=demand.speed_kmh,
        demand_g=demand.peak_lateral_g,
        limit_g=limit,
        limited_by="roll" if by_roll else "grip",
        measured=stability.threshold_low_g is not None,
        estimated=estimated and by_roll,
        state=state,
        reason=f"{MASSES[stability.mass]} at {demand.speed_kmh} km/h asks for at least "
        f"{demand.peak_lateral_g:.2f} g of {limit:.2f} g ({name}).",
    )


def _limit_named(*, by_roll: bool, known: bool, estimated: bool) -> str:
    if by_roll:
        return "roll threshold, estimated" if estimated else "roll threshold"
    if not known:
        return "grip; the roll threshold is not known"
    return "grip; the roll threshold, only estimated, is higher" if estimated else "grip"


def _unsure(stability: Sequence[Stability]) -> str:
    """What the judgement rests on where the height of the centre of gravity was not measured."""
    if all(one.threshold_low_g is not None for one in stability):
        return ""
    if all(one.threshold_low_g is not None or one.estimated is not None for one in stability):
        return " The roll threshold in it is an estimate: measure the height of the centre of gravity."
    return " The roll threshold is not known, this is by grip alone: measure what is undecided."


def cautions(found: Outlook) -> tuple[str, ...]:
    """What has to be heard before anyone drives at the speeds that leave little or nothing.

    Parameters: the outlook. Returns: a caution for the speeds over the limit, one for those to be
    careful at [-]. An estimate changes no ladder, but it is told.

    >>> from vehicles.reference import worked_example
    >>> [text.split(":")[0] for text in cautions(worked_example(with_demand=True).outlook)]
    ['At 100, 110 km/h little is left between what the course asks and what the vehicle has']

    Source: see SOURCE.
    """
    told = []
    for speeds, state, words in (
        (found.over_kmh, OVER, "the course asks for more than the vehicle has"),
        (found.careful_kmh, CAREFUL, "little is left between what the course asks and what the vehicle has"),
    ):
        if not speeds:
            continue
        listed = ", ".join(str(speed) for speed in speeds)
        rows = [row for row in found.rows if row.state == state]
        if all(row.estimated for row in rows):
            told.append(
                f"By estimate {words} at {listed} km/h: measure the height of the centre of gravity before driving."
            )
        else:
            told.append(f"At {listed} km/h {words}: the engineer decides whether it is driven.")
    return tuple(told)


def small_margins(found: Outlook, *, first_max_kmh: int) -> str | None:
    """Why a measured vehicle has small margins and starts slower, or None when it has not.

    Margins are small when a speed up to the usual first one leaves no room, or when any speed of
    the ladder asks for care, or more, because the vehicle would roll before it slides. Rows that
    rest on an estimate of the roll threshold decide nothing.

    Parameters: the outlook; usual highest first speed [km/h]. Returns: the reason of the first
    such row [-].

    >>> from vehicles.reference import worked_example
    >>> small_margins(worked_example(with_demand=True).outlook, first_max_kmh=80) is None
    True

    Source: a lower first speed for small margins is common practice; what counts as small is our
    assumption, no published source.
    """
    for row in sorted(found.rows, key=lambda row: row.speed_kmh):
        tight = row.state != ROOM and (row.speed_kmh <= first_max_kmh or row.limited_by == "roll")
        if tight and row.measured:
            return row.reason
    return None


def workings(found: Outlook) -> Iterator[Working]:
    """How the limit at each mass and what it leaves came about, for the screen.

    Parameters: the outlook. Returns: Working of each limit [g].

    >>> from vehicles.reference import worked_example
    >>> [(one.quantity, one.unit) for one in workings(worked_example(with_demand=True).outlook)][:1]
    [('Outlook at Test Mass 1: limit', 'g')]

    Source: see SOURCE.
    """
    for mass, name in MASSES.items():
        rows = [row for row in found.rows if row.mass == mass]
        yield Working(
            quantity=f"Outlook at {name}: limit",
            formula=f"lower of roll threshold and grip; room while {REAL_FACTOR:g} × demand is at most the limit, "
            "care while the demand itself is",
            inputs={f"{row.speed_kmh} km/h": f"demand {row.demand_g:.3f} g: {row.state}" for row in rows}
            | {"limited by": rows[0].limited_by + (", estimated" if rows[0].estimated else "")},
            value=rows[0].limit_g,
            unit="g",
            source=SOURCE,
        )
