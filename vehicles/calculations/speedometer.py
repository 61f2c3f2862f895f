"""What the speedometer shows after a change of tyres."""

from collections.abc import Sequence
from dataclasses import dataclass

from .explain import Working
from .speeds import SPEED
from .tyres import TyreChange


@dataclass(frozen=True, kw_only=True)
class Shown:
    """A true speed and what the speedometer shows at it [km/h]."""

    true_kmh: float
    shown_kmh: float


@dataclass(frozen=True, kw_only=True)
class Speedometer:
    """The true speed at an indicated 100 km/h, and what is shown at each speed of the ladder."""

    true_at_100_kmh: float
    ladder: tuple[Shown, ...]
    workings: tuple[Working, ...]


def speedometer(*, change: TyreChange, speeds_kmh: Sequence[int]) -> Speedometer:
    """Shown speed: v_true × D₁ / D₂, for a speedometer that was exact on the original size.

    Parameters: the change of tyres [mm], true speeds [km/h]. Returns: Speedometer [km/h].
    Raises CalculationError for a speed out of range.

    >>> from vehicles.calculations.tyres import compare, read_tyre
    >>> change = compare(before=read_tyre("265/65R17"), after=read_tyre("285/70R17"))
    >>> [round(row.shown_kmh, 1) for row in speedometer(change=change, speeds_kmh=[80, 110]).ladder]
    [74.8, 102.8]

    Source: geometry; both tyres equally worn and equally squashed by their load.
    """
    before, after = change.before.diameter_mm, change.after.diameter_mm
    return Speedometer(
        true_at_100_kmh=change.true_at_100_kmh,
        ladder=tuple(
            Shown(true_kmh=float(speed), shown_kmh=SPEED.check(speed) * before / after) for speed in speeds_kmh
        ),
        workings=(
            Working(
                quantity="Speedometer: true speed at a shown 100 km/h",
                formula="100 km/h × D₂ / D₁",
                inputs={"D₁": f"{before:g} mm", "D₂": f"{after:g} mm"},
                value=change.true_at_100_kmh,
                unit="km/h",
                source="geometry; exact on the original size is an assumption: drive by GPS speed",
            ),
        ),
    )
