"""Static stability at both test masses: how far the vehicle is from rolling over."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from .case import Case
from .explain import Working
from .load_heights import (
    ASSUMED,
    MEASURED_ERROR_MM,
    WEIGHING,
    Height,
    Load,
    Masses,
    combined,
    estimated,
    loads_aboard,
)
from .roll import DERATING, SOURCE, Roll, band, roll, static_stability_factor
from .speeds import MASSES

__all__ = ["Roll", "Stability", "band", "for_masses", "roll", "static_stability_factor"]

Loads = tuple[Load, ...] | None
MIDDLE: Mapping[str, float | None] = {"tm1": None, "tm2": None}


@dataclass(frozen=True, kw_only=True)
class Stability:
    """Stability at one test mass. Without a measured height the figures are None.

    ``estimate`` says that ``estimated`` is filled: a planning figure, never a measurement.
    """

    mass: str
    mass_kg: float | None
    cg_height_mm: float | None
    cg_error_mm: float | None
    ssf: float | None
    ssf_low: float | None
    ssf_high: float | None
    threshold_low_g: float | None
    threshold_high_g: float | None
    band: str | None
    estimate: bool
    estimated: Roll | None
    undecided: tuple[str, ...]
    workings: tuple[Working, ...]


def for_masses(
    *,
    case: Case,
    masses: Masses,
    height: Height,
    cg_error_mm: float = MEASURED_ERROR_MM,
    ballast: Load | None = None,
    left_of_middle_mm: Mapping[str, float | None] = MIDDLE,
) -> tuple[Stability, Stability]:
    """Stability at Test Mass 1 and Test Mass 2: the empty vehicle's height, moved by each load.

    Parameters
    ----------
    case : the case; ``cg_height_mm`` is that of the empty vehicle as presented [mm]
    masses : the test masses and what each is made of [kg]
    height : the height ledger, for the estimate when the height was not measured [mm]
    cg_error_mm : error of the measured height, as the axle-lift weighing gives it [mm]
    ballast : the ballast of Test Mass 2 as planned or loaded, in place of the assumed heights [kg, mm]
    left_of_middle_mm : where the centre of gravity lies across at tm1 and tm2 [mm]; None, not weighed
        by corners, counts as the middle

    Returns
    -------
    (Stability, Stability) for tm1 and tm2. What is not known is None and named in ``undecided``.

    Raises
    ------
    CalculationError : a height or track that no light vehicle has.

    Notes
    -----
    Heights of loads are shares of the overall height, assumed, with their error counted in the
    range. The mean of front and rear track is used, as the factor is defined.

    Example
    -------
    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> first, second = for_masses(case=done.case, masses=done.masses, height=done.height)
    >>> round(first.ssf, 3), round(second.ssf, 3)
    (1.041, 1.058)

    Source: moments about the ground; see SOURCE.
    """
    measured, empty = case.vehicle.cg_height_mm, case.vehicle.empty_mass_kg
    base = rough = None
    if measured is None:
        rough = estimated(case=case, height=height)
    elif empty is not None:
        base = Load(mass_kg=empty, height_mm=measured, error_mm=cg_error_mm)
    missing = _missing(case, masses)
    more = () if masses.tm2_kg is not None else ("tm2_kg: see the masses",)
    first, second = _aboard(case, masses, ballast)
    return (
        _stability(case, "tm1", masses.tm1_kg, (base, rough), first, left_of_middle_mm["tm1"], missing),
        _stability(case, "tm2", masses.tm2_kg, (base, rough), second, left_of_middle_mm["tm2"], (*missing, *more)),
    )


def _aboard(case: Case, masses: Masses, ballast: Load | None) -> tuple[Loads, Loads]:
    """Loads at each test mass; None when the mass or the overall height is not known."""
    overall = case.vehicle.overall_height_mm
    if overall is None or masses.tm1_kg is None:
        return None, None
    first, added = loads_aboard(case=case, masses=masses, overall_height_mm=overall)
    added = added if ballast is None else (ballast,)
    return first, None if masses.tm2_kg is None else (*first, *added)


def _missing(case: Case, masses: Masses) -> tuple[str, ...]:
    vehicle = case.vehicle
    needs = {
        WEIGHING: vehicle.cg_height_mm,
        "empty_mass_kg: weigh the empty vehicle": vehicle.empty_mass_kg,
        "overall_height_mm: measure it, the heights of driver and ballast follow from it": (vehicle.overall_height_mm),
        "track_front_mm: measure it": vehicle.track_front_mm,
        "track_rear_mm: measure it": vehicle.track_rear_mm,
        "tm1_kg: see the masses": masses.tm1_kg,
    }
    return tuple(text for text, value in needs.items() if value is None)


def _at(case: Case, base: Load | None, loads: Loads, across_mm: float | None) -> Roll | None:
    front, rear = case.vehicle.track_front_mm, case.vehicle.track_rear_mm
    if base is None or loads is None or front is None or rear is None:
        return None
    all_up = combined((base, *loads))
    return roll(
        track_mm=(front + rear) / 2,
        cg_height_mm=all_up.height_mm,
        cg_error_mm=all_up.error_mm,
        off_middle_mm=across_mm or 0.0,
    )


def _stability(
    case: Case,
    mass: str,
    mass_kg: float | None,
    empty: tuple[Load | None, Load | None],
    loads: Loads,
    across_mm: float | None,
    undecided: tuple[str, ...],
) -> Stability:
    """At one mass: from the height as measured and from the estimate, as far as either is known."""
    known, rough = (_at(case, base, loads, across_mm) for base in empty)
    return Stability(
        mass=mass,
        mass_kg=mass_kg,
        cg_height_mm=None if known is None else known.cg_height_mm,
        cg_error_mm=None if known is None else known.cg_error_mm,
        ssf=None if known is None else known.ssf,
        ssf_low=None if known is None else known.ssf_low,
        ssf_high=None if known is None else known.ssf_high,
        threshold_low_g=None if known is None else known.threshold_low_g,
        threshold_high_g=None if known is None else known.threshold_high_g,
        band=None if known is None else known.band,
        estimate=rough is not None,
        estimated=rough,
        undecided=undecided,
        workings=(
            *_workings(mass, known, empty[0], loads, across_mm, how=""),
            *_workings(mass, rough, empty[1], loads, across_mm, how=", estimated"),
        ),
    )


def _workings(
    mass: str, figures: Roll | None, base: Load | None, loads: Loads, across_mm: float | None, *, how: str
) -> Iterator[Working]:
    if figures is None or base is None:
        return
    height = f"{figures.cg_height_mm:.0f} ± {figures.cg_error_mm:.0f} mm"
    track = f"{2 * figures.cg_height_mm * figures.ssf:.0f} mm"
    across = "not weighed, taken as the middle" if across_mm is None else f"{across_mm:.0f} mm off the middle"
    yield Working(
        quantity=f"Height of the centre of gravity at {MASSES[mass]}{how}",
        formula="Σ m h / Σ m",
        inputs={"empty": _told(base)} | {f"load {n}": _told(load) for n, load in enumerate(loads or (), start=1)},
        value=figures.cg_height_mm,
        unit="mm",
        source=f"moments about the ground; {ASSUMED}",
    )
    yield Working(
        quantity=f"Static stability factor at {MASSES[mass]}{how}",
        formula="T / (2 h)",
        inputs={"T": track, "h": height},
        value=figures.ssf,
        source=f"{SOURCE}; {ASSUMED}",
    )
    yield Working(
        quantity=f"Roll threshold at {MASSES[mass]}, low end{how}",
        formula=f"(T / 2 − |y|) / (h + error), less {DERATING[1]:.0%} for springs and tyres that give way",
        inputs={"T": track, "h": height, "y": across},
        value=figures.threshold_low_g,
        unit="g",
        source=f"{SOURCE}; {ASSUMED}",
    )


def _told(load: Load) -> str:
    return f"{load.mass_kg:.1f} kg at {load.height_mm:.0f} ± {load.error_mm:.0f} mm"
