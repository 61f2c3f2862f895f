"""Where the centre of gravity lies at each mass: behind the front axle, left of the middle, above ground."""

from collections.abc import Sequence
from dataclasses import dataclass

from .axle_lift import MeasuredHeight
from .axles import AxleMasses
from .case import Case
from .centre_of_gravity import lateral, longitudinal
from .explain import Working
from .loading import Loading
from .loading_places import PAIR
from .masses import Masses
from .measurements import Corners
from .ranges import VEHICLE

STAGES = ("empty", "tm1", "tm2")
NAMES = {"empty": "Empty", "tm1": "Test Mass 1", "tm2": "Test Mass 2"}
NOTICED_MM = 20.0
SOURCE_ALONG = "moments about the front axle"
SOURCE_ACROSS = (
    "moments about the middle plane; the driver sits on the right, 0.20 of the overall width off the middle: "
    "assumption from memory, no published source"
)


@dataclass(frozen=True, kw_only=True)
class Position:
    """At one mass: behind the front axle and left of the middle, negative to the right [mm]."""

    mass: str
    behind_front_axle_mm: float | None
    left_of_middle_mm: float | None


@dataclass(frozen=True, kw_only=True)
class CgPosition:
    """The centre of gravity as measured and moved by what goes aboard [mm]; None is undecided."""

    height: MeasuredHeight
    positions: tuple[Position, ...]
    undecided: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def cg_position(
    case: Case, *, height: MeasuredHeight, masses: Masses, axles: AxleMasses, loading: Loading | None
) -> CgPosition:
    """Longitudinal place from the axles, lateral place from corner weights, at each mass.

    Parameters
    ----------
    case : corner weights [kg], tracks, wheelbase and overall width [mm]
    height : the measured height [mm]
    masses, axles : test masses and axle masses [kg]
    loading : the loading plans, for where the ballast lies across; None counts it at the middle

    Returns
    -------
    CgPosition [mm]. Without corner weights the lateral places are None; a weighing that was begun
    names what it lacks.

    Notes
    -----
    Fuel, instruments and replaced equipment count at the middle.

    Example
    -------
    >>> from vehicles.reference import worked_example
    >>> from .axle_lift import measured_height
    >>> done = worked_example()
    >>> parts = {"height": measured_height(done.case), "masses": done.masses, "axles": done.axles}
    >>> found = cg_position(done.case, loading=done.loading, **parts)
    >>> [(item.mass, round(item.behind_front_axle_mm)) for item in found.positions]
    [('empty', 1308), ('tm1', 1327), ('tm2', 1442)]

    Source: see SOURCE_ALONG and SOURCE_ACROSS.
    """
    along = [_along(case, axles, stage) for stage in STAGES]
    across = _across(case, masses, loading)
    gaps = _gaps(case.corner_weights)
    positions = tuple(
        Position(mass=stage, behind_front_axle_mm=x, left_of_middle_mm=y)
        for stage, x, y in zip(STAGES, along, across, strict=True)
    )
    return CgPosition(
        height=height,
        positions=positions,
        undecided=(*height.undecided, *gaps),
        cautions=(*height.cautions, *_leaning(positions)),
        workings=(*height.workings, *_workings(case, axles, positions)),
    )


def _along(case: Case, axles: AxleMasses, stage: str) -> float | None:
    wheelbase = case.vehicle.wheelbase_mm
    front: float | None = getattr(axles.front, f"{stage}_kg")
    rear: float | None = getattr(axles.rear, f"{stage}_kg")
    if wheelbase is None or front is None or rear is None or not _possible(front, rear):
        return None
    return longitudinal(wheelbase_mm=wheelbase, front_axle_kg=front, rear_axle_kg=rear)


def _possible(front: float, rear: float) -> bool:
    """Places measured wrongly can leave an axle with less than nothing; the axle masses show it."""
    pairs = ((VEHICLE["front_axle_kg"], front), (VEHICLE["rear_axle_kg"], rear))
    return all(row.low <= mass <= row.high for row, mass in pairs)


def _gaps(corners: Corners) -> tuple[str, ...]:
    weighed = vars(corners)
    if not any(weighed.values()):
        return ()
    return tuple(f"corner_weights.{name}: weigh it" for name, value in weighed.items() if value is None)


def _across(case: Case, masses: Masses, loading: Loading | None) -> Sequence[float | None]:
    empty, vehicle = _empty_lateral(case), case.vehicle
    if empty is None or vehicle.empty_mass_kg is None:
        return (None, None, None)
    tm1, tm2, width = masses.tm1_kg, masses.tm2_kg, vehicle.overall_width_mm
    driver, ballast = masses.driver_kg, masses.driver_ballast_kg
    if tm1 is None or width is None or driver is None or ballast is None:
        return (empty, None, None)
    moment = vehicle.empty_mass_kg * empty - (driver + ballast) * PAIR / 2 * width
    first = moment / tm1
    if tm2 is None:
        return (empty, first, None)
    planned = None if loading is None else loading.tm2.plan
    if planned is None or planned.lateral_mm is None:
        return (empty, first, moment / tm2)
    return (empty, first, (moment + planned.mass_kg * planned.lateral_mm) / (tm1 + planned.mass_kg))


def _empty_lateral(case: Case) -> float | None:
    c, front, rear = case.corner_weights, case.vehicle.track_front_mm, case.vehicle.track_rear_mm
    if c.front_left_kg is None or c.front_right_kg is None or c.rear_left_kg is None or c.rear_right_kg is None:
        return None
    if front is None or rear is None:
        return None
    return lateral(
        front_left_kg=c.front_left_kg,
        front_right_kg=c.front_right_kg,
        rear_left_kg=c.rear_left_kg,
        rear_right_kg=c.rear_right_kg,
        track_front_mm=front,
        track_rear_mm=rear,
    )


def _leaning(positions: Sequence[Position]) -> tuple[str, ...]:
    found = []
    for at in positions:
        y = at.left_of_middle_mm
        if y is not None and abs(y) > NOTICED_MM:
            side, other = ("left", "right") if y > 0 else ("right", "left")
            found.append(
                f"The centre of gravity lies {abs(y):.0f} mm {side} of the middle ({NAMES[at.mass]}): the vehicle "
                f"rolls sooner in a turn to the {other}; the roll threshold is that of this side."
            )
    return tuple(found)


def _workings(case: Case, axles: AxleMasses, positions: Sequence[Position]) -> Sequence[Working]:
    found = []
    tracks = {"Tf": case.vehicle.track_front_mm, "Tr": case.vehicle.track_rear_mm}
    for at in positions:
        if at.behind_front_axle_mm is not None:
            found.append(
                Working(
                    quantity=f"Centre of gravity behind the front axle, {NAMES[at.mass]}",
                    formula="L × rear / (front + rear)",
                    inputs={
                        "L": f"{case.vehicle.wheelbase_mm:g} mm",
                        "front": f"{getattr(axles.front, f'{at.mass}_kg'):.1f} kg",
                        "rear": f"{getattr(axles.rear, f'{at.mass}_kg'):.1f} kg",
                    },
                    value=at.behind_front_axle_mm,
                    unit="mm",
                    source=SOURCE_ALONG,
                )
            )
        if at.left_of_middle_mm is not None:
            found.append(
                Working(
                    quantity=f"Centre of gravity left of the middle, {NAMES[at.mass]}",
                    formula="(Tf/2 (FL − FR) + Tr/2 (RL − RR)) / m, moved by Σ m y / Σ m",
                    inputs={name.removesuffix("_kg"): f"{kg:g} kg" for name, kg in vars(case.corner_weights).items()}
                    | {name: f"{mm:g} mm" for name, mm in tracks.items()},
                    value=at.left_of_middle_mm,
                    unit="mm",
                    source=SOURCE_ACROSS,
                )
            )
    return found
