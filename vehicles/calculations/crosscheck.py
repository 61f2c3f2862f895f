"""What one measurement says about another: pairs that cannot both be true."""

from collections.abc import Iterator

from .case import Case, Vehicle
from .errors import Problem

AXLE_TOLERANCE = 0.01
# Each of these states an end condition; a second one would leave open which of them holds.
ONCE_ONLY = ("tyre_change", "seating_change", "gvm_upgrade", "body_change")


def contradictions(case: Case) -> tuple[Problem, ...]:
    """Find measurements that contradict each other.

    Parameters
    ----------
    case : Case
        A case whose single values are all in range

    Returns
    -------
    tuple of Problem
        Empty when nothing contradicts; values that are not known are not compared

    Notes
    -----
    Axle masses must add up to the empty mass within 1 % of it. A length that is part of another
    must be the smaller. An empty mass above the GVM is no contradiction: vehicles are overloaded.

    Examples
    --------
    >>> from .case import Vehicle
    >>> vehicle = Vehicle(track_front_mm=1900, overall_width_mm=1885)
    >>> contradictions(Case(jurisdiction="NSW", vehicle=vehicle))[0].path
    'vehicle.track_front_mm'

    Source: geometry and statics; the 1 % is common practice, no published source.
    """
    return (*_axles(case.vehicle), *_lengths(case.vehicle), *_repeats(case))


def _axles(vehicle: Vehicle) -> Iterator[Problem]:
    front, rear, empty = vehicle.front_axle_kg, vehicle.rear_axle_kg, vehicle.empty_mass_kg
    if front is None or rear is None or empty is None:
        return
    if abs(front + rear - empty) > AXLE_TOLERANCE * empty + 1e-9:
        yield Problem(
            path="vehicle.front_axle_kg",
            message=f"front axle {front:g} kg + rear axle {rear:g} kg = {front + rear:g} kg is not the empty "
            f"mass of {empty:g} kg; allowed: within 1 % of it ({AXLE_TOLERANCE * empty:.1f} kg)",
        )


def _lengths(vehicle: Vehicle) -> Iterator[Problem]:
    for small, large in (
        ("track_front_mm", "overall_width_mm"),
        ("track_rear_mm", "overall_width_mm"),
        ("wheelbase_mm", "overall_length_mm"),
        ("cg_height_mm", "overall_height_mm"),
    ):
        part, whole = getattr(vehicle, small), getattr(vehicle, large)
        if part is not None and whole is not None and part >= whole:
            message = f"{part:g} mm is not less than {large} of {whole:g} mm; allowed: less than it"
            yield Problem(path=f"vehicle.{small}", message=message)
    parts = (vehicle.front_overhang_mm, vehicle.wheelbase_mm, vehicle.overall_length_mm)
    overhang, wheelbase, length = parts
    if overhang is None or wheelbase is None or length is None or wheelbase >= length:
        return
    if overhang + wheelbase > length:
        yield Problem(
            path="vehicle.front_overhang_mm",
            message=f"{overhang:g} mm and the wheelbase of {wheelbase:g} mm are more than overall_length_mm "
            f"of {length:g} mm; allowed: at most {length - wheelbase:g} mm",
        )


def _repeats(case: Case) -> Iterator[Problem]:
    seen: set[str] = set()
    for index, modification in enumerate(case.modifications):
        kind = modification.kind
        if kind in seen and kind in ONCE_ONLY:
            message = f"a second {kind}; allowed: one, with what the vehicle has now"
            yield Problem(path=f"modifications[{index}].kind", message=message)
        seen.add(kind)
