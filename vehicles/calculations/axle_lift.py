"""The height of the centre of gravity as it was measured: by an axle lift, or as stated."""

from dataclasses import dataclass

from .case import Case
from .centre_of_gravity import CgHeight, LiftStep, combine, from_axle_lift
from .explain import Working
from .load_heights import MEASURED_ERROR_MM
from .measurements import AXLES, AxleLift
from .ranges import VEHICLE
from .wording import fixed

SCALE_ERROR_KG, ANGLE_ERROR_DEG, LEAST_STEPS = 2.0, 0.2, 3
SOURCE = (
    "axle lift as ISO 10392:2011 describes it; errors of the readings added in squares, those of the level reading, "
    "the mass and the angle as common to all steps"
)


@dataclass(frozen=True, kw_only=True)
class MeasuredHeight:
    """Height and error [mm] of the empty vehicle's centre of gravity, None when not measured.

    ``measured_by`` is axle_lift, stated or None; ``steps`` are the single steps of the lift.
    """

    height_mm: float | None
    error_mm: float | None
    measured_by: str | None
    steps: tuple[LiftStep, ...]
    undecided: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def measured_height(case: Case) -> MeasuredHeight:
    """The height from an axle-lift weighing, or the stated one when there is none that is complete.

    Parameters
    ----------
    case : Case
        Its axle lift and the axles as weighed level [mm, kg], or ``cg_height_mm`` [mm]

    Returns
    -------
    MeasuredHeight
        With ± as the readings of scale and angle leave it; a stated height has ± 20 mm [mm]

    Raises
    ------
    CalculationError
        When the readings give a height that no light vehicle has, or an axle stands higher than
        the wheelbase allows.

    Notes
    -----
    The axle that stays down was weighed level in the same state, so its reading is the axle mass
    of the case. Usual errors are 2 kg and 0.2° (common practice, no published source).

    Example
    -------
    >>> from .example import example_case
    >>> found = measured_height(example_case())
    >>> found.height_mm, found.error_mm
    (760.0, 20.0)

    Source: see SOURCE and ``centre_of_gravity``.
    """
    stated, lift = case.vehicle.cg_height_mm, case.axle_lift
    gaps = () if lift is None else _gaps(case, lift)
    if lift is None or gaps:
        return MeasuredHeight(
            height_mm=stated,
            error_mm=None if stated is None else MEASURED_ERROR_MM,
            measured_by=None if stated is None else "stated",
            steps=(),
            undecided=gaps,
            cautions=(),
            workings=(),
        )
    steps = _steps(case, lift)
    found = combine(steps)
    VEHICLE["cg_height_mm"].check(found.height_mm)
    return MeasuredHeight(
        height_mm=found.height_mm,
        error_mm=found.error_mm,
        measured_by="axle_lift",
        steps=steps,
        undecided=(),
        cautions=() if stated is None else (_overruled(stated, found),),
        workings=(*map(_step_working, range(1, len(steps) + 1), steps), _working(found, steps)),
    )


def _held(lift: AxleLift) -> str:
    return next(axle for axle in AXLES if axle != lift.raised_axle)


def _gaps(case: Case, lift: AxleLift) -> tuple[str, ...]:
    """What is missing of the weighing before it gives a height."""
    vehicle = case.vehicle
    held = "the axle that stays down" if lift.raised_axle is None else f"vehicle.{_held(lift)}_axle_kg"
    wanted: dict[str, object] = {
        "axle_lift.raised_axle: front or rear": lift.raised_axle,
        "axle_lift.static_radius_mm: measure from the hub to the ground, loaded": lift.static_radius_mm,
        "vehicle.wheelbase_mm: measure it": vehicle.wheelbase_mm,
        "vehicle.empty_mass_kg: weigh the empty vehicle": vehicle.empty_mass_kg,
        f"{held}: weigh it level": getattr(vehicle, f"{_held(lift)}_axle_kg"),
    }
    for index, step in enumerate(lift.steps):
        wanted[f"axle_lift.steps[{index}].raised_mm: measure it"] = step.raised_mm
        wanted[f"axle_lift.steps[{index}].held_axle_kg: read the scale"] = step.held_axle_kg
    short = () if len(lift.steps) >= LEAST_STEPS else ("axle_lift.steps: raise the axle in at least three steps",)
    return (*(text for text, value in wanted.items() if value is None), *short)


def _steps(case: Case, lift: AxleLift) -> tuple[LiftStep, ...]:
    vehicle = case.vehicle
    level = getattr(vehicle, f"{_held(lift)}_axle_kg")
    return tuple(
        from_axle_lift(
            wheelbase_mm=vehicle.wheelbase_mm or 0.0,
            mass_kg=vehicle.empty_mass_kg or 0.0,
            held_axle_level_kg=level,
            held_axle_raised_kg=step.held_axle_kg or 0.0,
            raised_mm=step.raised_mm or 0.0,
            static_radius_mm=lift.static_radius_mm or 0.0,
            scale_error_kg=SCALE_ERROR_KG if lift.scale_error_kg is None else lift.scale_error_kg,
            angle_error_deg=ANGLE_ERROR_DEG if lift.angle_error_deg is None else lift.angle_error_deg,
        )
        for step in lift.steps
    )


def _overruled(stated: float, found: CgHeight) -> str:
    return (
        f"The stated height of the centre of gravity, {fixed(stated, 0)} mm, is not used: the axle lift gives "
        f"{fixed(found.height_mm, 0)} ± {fixed(found.error_mm, 0)} mm."
    )


def _step_working(number: int, step: CgHeight) -> Working:
    return Working(
        quantity=f"Height of the centre of gravity, step {number} of the lift",
        formula="r + L (W' − W) / (m tan θ), sin θ = H / L",
        inputs={"θ": f"{step.angle_deg:.2f}°", "error of this step": f"± {step.error_mm:.0f} mm"},
        value=step.height_mm,
        unit="mm",
        source=SOURCE,
    )


def _working(found: CgHeight, steps: tuple[LiftStep, ...]) -> Working:
    return Working(
        quantity="Height of the centre of gravity, as weighed",
        formula=(
            "Σ w h, w by the error of each step's own reading and angle; its error adds in squares what the readings "
            "of the steps leave of their mean, and unreduced what all steps have in common, or is half the spread"
        ),
        inputs={
            "h ± e": ", ".join(f"{step.height_mm:.0f} ± {step.error_mm:.0f} mm" for step in steps),
            "error": f"± {found.error_mm:.0f} mm",
        },
        value=found.height_mm,
        unit="mm",
        source=SOURCE,
    )
