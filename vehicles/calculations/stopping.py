"""Length needed to reach a speed, and to stop from it."""

from .explain import Working
from .ranges import Range
from .speeds import SPEED

ACCELERATION = Range(name="acceleration_mps2", label="Acceleration", low=0.3, high=6, unit="m/s²")
DECELERATION = Range(name="deceleration_mps2", label="Deceleration", low=1, high=9, unit="m/s²")
REACTION = Range(name="reaction_s", label="Reaction time", low=0, high=5, unit="s")
MARGIN = Range(name="margin_m", label="Margin", low=0, high=500, unit="m")
SOURCE_STOP = "AASHTO stopping distance: 3.4 m/s² and 2.5 s"
SOURCE_RUN_UP = "uniform acceleration; 1.5 m/s² is an assumption for a laden four-wheel drive"


def run_up(*, speed_kmh: float, acceleration_mps2: float = 1.5) -> float:
    """Length needed to reach the speed from rest: v² / (2 a).

    Parameters: speed [km/h], mean acceleration a [m/s²]. Returns: length [m].
    Raises CalculationError for a speed outside 5 to 150 km/h or an acceleration outside 0.3 to 6.

    >>> round(run_up(speed_kmh=110), 1)
    311.2

    Source: uniform acceleration, textbook; the default is an assumption.
    """
    speed = SPEED.check(speed_kmh) / 3.6
    return speed**2 / (2 * ACCELERATION.check(acceleration_mps2))


def run_off(
    *, speed_kmh: float, deceleration_mps2: float = 3.4, reaction_s: float = 2.5, margin_m: float = 0.0
) -> float:
    """Length needed to stop after the last cone: v² / (2 a) + v t + margin.

    Parameters: speed [km/h], deceleration a [m/s²], reaction time t [s], margin [m].
    Returns: length [m]. Raises CalculationError for a value out of range.

    >>> round(run_off(speed_kmh=80), 1)
    128.2

    Source: AASHTO stopping distance, 3.4 m/s² and 2.5 s.
    """
    speed = SPEED.check(speed_kmh) / 3.6
    DECELERATION.check(deceleration_mps2)
    REACTION.check(reaction_s)
    MARGIN.check(margin_m)
    return speed**2 / (2 * deceleration_mps2) + speed * reaction_s + margin_m


def workings(
    *, speed_kmh: float, acceleration_mps2: float, deceleration_mps2: float, reaction_s: float, margin_m: float
) -> tuple[Working, Working]:
    """How run-up and run-off come about, for the screen.

    Parameters: speed [km/h], accelerations [m/s²], reaction time [s], margin [m]. Returns: two Working [m].
    Raises CalculationError for a value out of range.

    >>> both = workings(speed_kmh=110, acceleration_mps2=1.5, deceleration_mps2=3.4, reaction_s=2.5, margin_m=0)
    >>> [round(one.value, 1) for one in both]
    [311.2, 213.7]

    Source: see ``run_up`` and ``run_off``.
    """
    speed = {"v": f"{speed_kmh:g} km/h"}
    return (
        Working(
            quantity="Run-up",
            formula="v² / 2a",
            inputs=speed | {"a": f"{acceleration_mps2:g} m/s²"},
            value=run_up(speed_kmh=speed_kmh, acceleration_mps2=acceleration_mps2),
            unit="m",
            source=SOURCE_RUN_UP,
        ),
        Working(
            quantity="Run-off",
            formula="v² / 2a + v t + margin",
            inputs=speed | {"a": f"{deceleration_mps2:g} m/s²", "t": f"{reaction_s:g} s", "margin": f"{margin_m:g} m"},
            value=run_off(
                speed_kmh=speed_kmh,
                deceleration_mps2=deceleration_mps2,
                reaction_s=reaction_s,
                margin_m=margin_m,
            ),
            unit="m",
            source=SOURCE_STOP,
        ),
    )
