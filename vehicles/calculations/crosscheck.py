"""What one measurement says about another: pairs that cannot both be true."""

from collections.abc import Iterator

from .axle_lift import measured_height
from .case import Case, Vehicle
from .errors import CalculationError, Problem
from .measurements import AXLES, centre_of_rows
from .tyres import as_measured, read_tyre

AXLE_TOLERANCE = 0.01
ROWS_TOLERANCE_MM = 50.0
# Each of these states an end condition; a second one would leave open which of them holds.
ONCE_ONLY = ("tyre_change", "seating_change", "gvm_upgrade", "body_change")


def contradictions(case: Case) -> tuple[Problem, ...]:
    """Find measurements that contradict each other.

    Parameters
    ----------
    case : Case
        A case whose single values are all in range [mm, kg]

    Returns
    -------
    tuple of Problem
        Empty when nothing contradicts; values that are not known are not compared

    Notes
    -----
    Axle masses must add up to the empty mass within 1 % of it, the two corner weights of an axle
    to its mass within 1 % of that. Rows of seats hold all seats there are, around the centre that
    was measured for them. A tyre measures about what its size names. An axle lift gives a height
    that a vehicle can have. A length that is part of another must be the smaller. An empty mass
    above the GVM is no contradiction: vehicles are overloaded.

    Examples
    --------
    >>> from .case import Vehicle
    >>> vehicle = Vehicle(track_front_mm=1900, overall_width_mm=1885)
    >>> contradictions(Case(jurisdiction="NSW", vehicle=vehicle))[0].path
    'vehicle.track_front_mm'

    Source: geometry and statics; the 1 % is common practice, no published source.
    """
    return (
        *_axles(case.vehicle),
        *_lengths(case.vehicle),
        *_repeats(case),
        *_tyres(case),
        *_corners(case),
        *_rows(case),
        *_lift(case),
    )


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


def _tyres(case: Case) -> Iterator[Problem]:
    for index, item in enumerate(case.modifications):
        sizes = {"from_diameter_mm": case.vehicle.tyre, "to_diameter_mm": item.words("to")}
        for name, size in sizes.items():
            diameter_mm = item.number(name)
            if size is None or diameter_mm is None:
                continue
            try:
                as_measured(read_tyre(size), diameter_mm=diameter_mm, quantity=name)
            except CalculationError as error:
                yield Problem(path=f"modifications[{index}].{name}", message=error.detail)


def _corners(case: Case) -> Iterator[Problem]:
    corners, vehicle = case.corner_weights, case.vehicle
    for axle in AXLES:
        left, right = getattr(corners, f"{axle}_left_kg"), getattr(corners, f"{axle}_right_kg")
        whole = getattr(vehicle, f"{axle}_axle_kg")
        if left is None or right is None or whole is None:
            continue
        if abs(left + right - whole) > AXLE_TOLERANCE * whole + 1e-9:
            yield Problem(
                path=f"corner_weights.{axle}_left_kg",
                message=f"left {left:g} kg + right {right:g} kg = {left + right:g} kg is not the {axle} axle's "
                f"{whole:g} kg; allowed: within 1 % of it ({AXLE_TOLERANCE * whole:.1f} kg)",
            )


def _rows(case: Case) -> Iterator[Problem]:
    counted = [row.seats for row in case.seat_rows]
    changed = (item.number("seats") for item in case.modifications if item.kind == "seating_change")
    seats = next(changed, case.vehicle.seats)
    if counted and seats is not None and None not in counted and sum(filter(None, counted)) != seats:
        message = f"the rows hold {sum(filter(None, counted))} seats, the vehicle has {seats:g}; allowed: the same"
        yield Problem(path="seat_rows", message=message)
    centre, stated = centre_of_rows(case.seat_rows), case.places.seats_x_mm
    if centre is not None and stated is not None and abs(centre - stated) > ROWS_TOLERANCE_MM:
        yield Problem(
            path="places.seats_x_mm",
            message=f"{stated:g} mm is not the centre of the rows of seats, {centre:.0f} mm; allowed: within "
            f"{ROWS_TOLERANCE_MM:g} mm of it, or left out",
        )


def _lift(case: Case) -> Iterator[Problem]:
    try:
        found = measured_height(case)
    except CalculationError as error:
        yield Problem(path="axle_lift", message=f"{error.quantity} {error.detail}")
        return
    overall = case.vehicle.overall_height_mm
    if case.axle_lift is not None and overall is not None and (found.height_mm or 0.0) >= overall:
        yield Problem(
            path="axle_lift",
            message=f"the readings put the centre of gravity at {found.height_mm:.0f} mm, not below "
            f"overall_height_mm of {overall:g} mm; allowed: readings that put it below",
        )
