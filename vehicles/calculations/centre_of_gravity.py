"""Where the centre of gravity lies, from what scales read: along, across and above the ground."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, cos, degrees, hypot, inf, isfinite, radians, sin, tan

from .errors import CalculationError
from .ranges import AXLE_LIFT, CORNERS, LIFT_STEP, VEHICLE, Range

READING = Range(name="held_axle_raised_kg", label="Axle that stays down", low=50, high=9_000, unit="kg")
SCALE_ERROR = Range(name="scale_error_kg", label="Error of the scale", low=0, high=100, unit="kg")
ANGLE_ERROR = Range(name="angle_error_deg", label="Error of the angle", low=0, high=5, unit="°")


@dataclass(frozen=True, kw_only=True)
class CgHeight:
    """Height of the centre of gravity above the ground and the error the readings leave [mm]."""

    height_mm: float
    error_mm: float
    angle_deg: float


@dataclass(frozen=True, kw_only=True)
class LiftStep(CgHeight):
    """The height by one step of lift, and what of its error comes from which reading [mm].

    ``by_reading_mm`` is of this step's own reading; the others are of what every step reads alike: the
    axle level, the mass, and the angle by one and the same instrument.
    """

    by_reading_mm: float
    by_level_mm: float
    by_mass_mm: float
    by_angle_mm: float


def longitudinal(*, wheelbase_mm: float, front_axle_kg: float, rear_axle_kg: float) -> float:
    """Distance of the centre of gravity behind the front axle: L × rear / (front + rear).

    Parameters: wheelbase [mm], axle masses [kg]. Returns: distance [mm].
    Raises CalculationError for values outside the ranges of a light vehicle.

    >>> round(longitudinal(wheelbase_mm=2750, front_axle_kg=1150, rear_axle_kg=950), 1)
    1244.0

    Source: moments about the front axle.
    """
    VEHICLE["wheelbase_mm"].check(wheelbase_mm)
    VEHICLE["front_axle_kg"].check(front_axle_kg)
    VEHICLE["rear_axle_kg"].check(rear_axle_kg)
    return wheelbase_mm * rear_axle_kg / (front_axle_kg + rear_axle_kg)


def lateral(
    *,
    front_left_kg: float,
    front_right_kg: float,
    rear_left_kg: float,
    rear_right_kg: float,
    track_front_mm: float,
    track_rear_mm: float,
) -> float:
    """Distance of the centre of gravity left of the middle, negative to the right.

    y = (Tf/2 (FL − FR) + Tr/2 (RL − RR)) / (FL + FR + RL + RR).

    Parameters: corner weights [kg], tracks [mm]. Returns: distance [mm].
    Raises CalculationError for values outside the ranges of a light vehicle.

    >>> lateral(front_left_kg=510, front_right_kg=490, rear_left_kg=500, rear_right_kg=500,
    ...         track_front_mm=1600, track_rear_mm=1600)
    8.0

    Source: moments about the middle plane.
    """
    corners = (front_left_kg, front_right_kg, rear_left_kg, rear_right_kg)
    for row, corner in zip(CORNERS.values(), corners, strict=True):
        row.check(corner)
    VEHICLE["track_front_mm"].check(track_front_mm)
    VEHICLE["track_rear_mm"].check(track_rear_mm)
    front = track_front_mm / 2 * (front_left_kg - front_right_kg)
    rear = track_rear_mm / 2 * (rear_left_kg - rear_right_kg)
    return (front + rear) / sum(corners)


def from_axle_lift(
    *,
    wheelbase_mm: float,
    mass_kg: float,
    held_axle_level_kg: float,
    held_axle_raised_kg: float,
    raised_mm: float,
    static_radius_mm: float,
    scale_error_kg: float = 2.0,
    angle_error_deg: float = 0.2,
) -> LiftStep:
    """Height of the centre of gravity by lifting one axle: h = r + L (W' − W) / (m tan θ).

    sin θ = H / L. The error adds in squares what each reading leaves: scale error e on W', on W
    and on m, angle error on θ.

    Parameters
    ----------
    wheelbase_mm : wheelbase L [mm]
    mass_kg : mass of the vehicle m [kg]
    held_axle_level_kg, held_axle_raised_kg : reading of the axle that stays down, level W and
        with the other axle raised W' [kg]
    raised_mm : height H by which the other axle is raised [mm]
    static_radius_mm : static loaded radius r of the tyres [mm]
    scale_error_kg, angle_error_deg : what one reading may be out by [kg, °]

    Returns
    -------
    LiftStep: height, error and its parts [mm], angle [°].

    Raises
    ------
    CalculationError : a value out of range, or the axle raised by as much as the wheelbase.

    Notes
    -----
    Suspension locked, fuel tank full or empty, equal radii front and rear; at least three steps
    of lift are taken and combined with ``combine``. Defaults of the errors: common practice.

    Example
    -------
    >>> found = from_axle_lift(wheelbase_mm=2750, mass_kg=2100, held_axle_level_kg=950,
    ...     held_axle_raised_kg=1010, raised_mm=600, static_radius_mm=380)
    >>> round(found.height_mm, 1), round(found.angle_deg, 3)
    (731.4, 12.602)

    Source: the method that ISO 10392:2011 describes.
    """
    VEHICLE["wheelbase_mm"].check(wheelbase_mm)
    VEHICLE["empty_mass_kg"].check(mass_kg)
    READING.check(held_axle_level_kg)
    READING.check(held_axle_raised_kg)
    LIFT_STEP["raised_mm"].check(raised_mm)
    AXLE_LIFT["static_radius_mm"].check(static_radius_mm)
    SCALE_ERROR.check(scale_error_kg)
    ANGLE_ERROR.check(angle_error_deg)
    if raised_mm >= wheelbase_mm:
        raise CalculationError(
            quantity="raised_mm", value=raised_mm, allowed=f"less than the wheelbase, {wheelbase_mm:g} mm"
        )
    angle = asin(raised_mm / wheelbase_mm)
    per_kg = wheelbase_mm / (mass_kg * tan(angle))
    above_axles = per_kg * (held_axle_raised_kg - held_axle_level_kg)
    parts = {
        "by_reading_mm": per_kg * scale_error_kg,
        "by_level_mm": per_kg * scale_error_kg,
        "by_mass_mm": abs(above_axles) / mass_kg * scale_error_kg,
        "by_angle_mm": abs(above_axles) / (sin(angle) * cos(angle)) * radians(angle_error_deg),
    }
    return LiftStep(
        height_mm=static_radius_mm + above_axles,
        error_mm=hypot(*parts.values()),
        angle_deg=degrees(angle),
        **parts,
    )


def combine(steps: Sequence[LiftStep]) -> CgHeight:
    """One height from several steps of lift: mean weighted by what each step reads of its own.

    h = Σ w h / Σ w with w = 1 / (reading² + angle²). The reading of a step averages out over the
    steps; the level reading, the mass and the angle of the one instrument are the same in all of
    them and do not: error² = Σ (w reading)² + (Σ w level)² + (Σ w mass)² + (Σ w angle)², Σ w = 1.

    Parameters
    ----------
    steps : at least three, each with an error above 0 [mm]

    Returns
    -------
    CgHeight; its error is the greater of the above and half the spread of the steps [mm]; its
    angle is the largest [°].

    Raises
    ------
    CalculationError : fewer than three steps, a height or an error that is no number, an error
        of 0 mm.

    Notes
    -----
    An angle that is read anew in each step, from a tape or by another instrument, leaves a little
    less than this.

    Example
    -------
    >>> readings = {"wheelbase_mm": 2750, "mass_kg": 2100, "held_axle_level_kg": 950, "static_radius_mm": 380}
    >>> steps = [from_axle_lift(**readings, held_axle_raised_kg=kg, raised_mm=mm)
    ...     for kg, mm in ((990, 400), (1000, 500), (1010, 600))]
    >>> found = combine(steps)
    >>> round(found.height_mm), round(found.error_mm)
    (733, 17)

    Source: at least three steps as ISO 10392:2011 asks; weighted mean and propagation of errors
    that are in part common, textbook.
    """
    if len(steps) < 3:
        raise CalculationError(quantity="steps of lift", value=len(steps), allowed="at least 3")
    for step in steps:
        if not 0 < hypot(step.by_reading_mm, step.by_angle_mm) <= step.error_mm < inf:
            raise CalculationError(quantity="error_mm", value=step.error_mm, allowed="errors above 0 mm")
        if not isfinite(step.height_mm):
            raise CalculationError(quantity="height_mm", value=step.height_mm, allowed="numbers")
    weights = [1 / (step.by_reading_mm**2 + step.by_angle_mm**2) for step in steps]
    heights = [step.height_mm for step in steps]

    def mean(values: Sequence[float]) -> float:
        return sum(weight * value for weight, value in zip(weights, values, strict=True)) / sum(weights)

    own = hypot(*(weight * step.by_reading_mm for weight, step in zip(weights, steps, strict=True))) / sum(weights)
    parts = ((step.by_level_mm, step.by_mass_mm, step.by_angle_mm) for step in steps)
    common = (mean(part) for part in zip(*parts, strict=True))
    return CgHeight(
        height_mm=mean(heights),
        error_mm=max(hypot(own, *common), (max(heights) - min(heights)) / 2),
        angle_deg=max(step.angle_deg for step in steps),
    )
