"""Wind near the ground from a forecast at 10 m, for the engineer who chooses to reduce it."""

from math import log

from .errors import CalculationError
from .hours import WIND
from .ranges import Range

HEIGHT = Range(name="height_m", label="Height above the ground", low=0.5, high=100, unit="m")
ROUGHNESS = Range(name="roughness_m", label="Roughness length", low=0.0001, high=0.4, unit="m")
OPEN_GRASS_M = 0.03


def at_height(
    *, wind_mps: float, measured_at_m: float = 10.0, wanted_at_m: float = 2.0, roughness_m: float = OPEN_GRASS_M
) -> float:
    """Wind at another height over open ground: u₂ = u₁ ln(z₂ / z₀) / ln(z₁ / z₀).

    Parameters: wind [m/s] and its height [m], height wanted [m], roughness length z₀ [m].
    Returns: wind [m/s]. Raises CalculationError for a value out of range.

    Notes: neutral air over even ground. Planning takes the forecast unreduced by default; the
    anemometer on the day decides.

    >>> round(at_height(wind_mps=4.15), 2)
    3.0

    Source: logarithmic wind profile, z₀ = 0.03 m for open grass, two public sources.
    """
    WIND.check(wind_mps)
    ROUGHNESS.check(roughness_m)
    ratio = [log(HEIGHT.check(height) / roughness_m) for height in (wanted_at_m, measured_at_m)]
    return wind_mps * ratio[0] / ratio[1]


def by_power_law(
    *, wind_mps: float, measured_at_m: float = 10.0, wanted_at_m: float = 2.0, exponent: float = 1 / 7
) -> float:
    """Wind at another height by the power law: u₂ = u₁ (z₂ / z₁)^α, a second opinion.

    Parameters: wind [m/s] and its height [m], height wanted [m], exponent α [-]. Returns: wind
    [m/s]. Raises CalculationError for a value out of range.

    >>> round(by_power_law(wind_mps=3.78), 2)
    3.0

    Source: one-seventh power law, textbook.
    """
    if not 0 <= exponent <= 0.6:
        raise CalculationError(quantity="exponent", value=exponent, allowed="0 to 0.6")
    WIND.check(wind_mps)
    HEIGHT.check(wanted_at_m)
    HEIGHT.check(measured_at_m)
    return float(wind_mps * (wanted_at_m / measured_at_m) ** exponent)
