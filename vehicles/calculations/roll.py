"""From track and height to the lateral acceleration at which a vehicle rolls over."""

from dataclasses import dataclass

from .errors import CalculationError
from .ranges import VEHICLE, Range

# Suspension and tyres give way: the vehicle rolls at 5 to 15 % less than the rigid figure.
DERATING = (0.05, 0.15)
# Lower limit of each band of 2001, best first.
BANDS = ((1.45, "5 of 5"), (1.25, "4 of 5"), (1.13, "3 of 5"), (1.04, "2 of 5"), (0.0, "1 of 5"))
# An empty vehicle's centre of gravity lies from 200 to 1,800 mm; a load may lie lower or higher.
LADEN = Range(name="cg_height_mm", label="Height of the centre of gravity, laden", low=150, high=2_200, unit="mm")
SOURCE = "NHTSA: static stability factor T / 2h; de-rating from TRB Special Report 265, share from memory"


@dataclass(frozen=True, kw_only=True)
class Roll:
    """Height, factor and de-rated roll threshold with the range that the errors leave.

    The threshold is that of the side towards which the vehicle rolls sooner.
    """

    cg_height_mm: float
    cg_error_mm: float
    off_middle_mm: float
    ssf: float
    ssf_low: float
    ssf_high: float
    threshold_low_g: float
    threshold_high_g: float
    band: str


def static_stability_factor(*, track_mm: float, cg_height_mm: float) -> float:
    """Static stability factor: SSF = T / (2 h).

    Parameters: mean track T [mm], height of the centre of gravity h [mm]. Returns: SSF [-], the
    lateral acceleration in g at which a rigid vehicle would tip.
    Raises CalculationError for values outside the ranges of a light vehicle.

    >>> round(static_stability_factor(track_mm=1600, cg_height_mm=700), 3)
    1.143

    Source: NHTSA, definition of the static stability factor.
    """
    VEHICLE["track_front_mm"].check(track_mm)
    VEHICLE["cg_height_mm"].check(cg_height_mm)
    return track_mm / (2 * cg_height_mm)


def band(ssf: float) -> str:
    """Rollover band that the agency published in 2001 for a factor, for context only.

    Parameters: the factor [-]. Returns: the band.

    >>> band(1.097)
    '2 of 5'

    Source: NHTSA 2001, limits 1.45, 1.25, 1.13, 1.04 from memory. Raises CalculationError for
    a factor of 0 or less.
    """
    if not ssf > 0:
        raise CalculationError(quantity="ssf", value=ssf, allowed="above 0")
    return next(name for limit, name in BANDS if ssf >= limit)


def roll(*, track_mm: float, cg_height_mm: float, cg_error_mm: float, off_middle_mm: float = 0.0) -> Roll:
    """Factor and roll threshold: SSF = T / 2(h ± error); threshold (T/2 − |y|) / (h ± error), de-rated.

    Parameters: mean track T, height h of the centre of gravity and its error, its distance y off the
    middle plane, to either side [mm].
    Returns: Roll; the threshold's low end is taken at the upper height less 15 %, its high end at the
    lower height less 5 % [g]. Raises CalculationError for a track outside the range of a light
    vehicle, a height outside 150 to 2,200 mm, when the error is as large as the height, or when the
    centre of gravity lies as far out as the wheels.

    >>> found = roll(track_mm=1600, cg_height_mm=700, cg_error_mm=20)
    >>> round(found.threshold_low_g, 2), round(found.threshold_high_g, 2)
    (0.94, 1.12)
    >>> round(roll(track_mm=1600, cg_height_mm=700, cg_error_mm=20, off_middle_mm=-40).threshold_low_g, 2)
    0.9

    Notes: the factor itself is defined at the middle plane; a lane change turns to both sides, so the
    threshold is that of the worse one.

    Source: see SOURCE.
    """
    VEHICLE["track_front_mm"].check(track_mm)
    LADEN.check(cg_height_mm)
    if not 0 <= cg_error_mm < cg_height_mm:
        raise CalculationError(quantity="cg_error_mm", value=cg_error_mm, allowed=f"0 to less than {cg_height_mm:g} mm")
    if not abs(off_middle_mm) < track_mm / 2:
        raise CalculationError(
            quantity="off_middle_mm", value=off_middle_mm, allowed=f"less than {track_mm / 2:g} mm to either side"
        )
    low = track_mm / (2 * (cg_height_mm + cg_error_mm))
    high = track_mm / (2 * (cg_height_mm - cg_error_mm))
    ssf = track_mm / (2 * cg_height_mm)
    nearer = 1 - 2 * abs(off_middle_mm) / track_mm
    return Roll(
        cg_height_mm=cg_height_mm,
        cg_error_mm=cg_error_mm,
        off_middle_mm=off_middle_mm,
        ssf=ssf,
        ssf_low=low,
        ssf_high=high,
        threshold_low_g=nearer * low * (1 - DERATING[1]),
        threshold_high_g=nearer * high * (1 - DERATING[0]),
        band=band(ssf),
    )
