"""What the restraint of a load has to hold."""

from dataclasses import dataclass

from .ranges import Range

GRAVITY_MPS2 = 9.80665
MASS = Range(name="mass_kg", label="Mass of the load", low=0, high=12_000, unit="kg")
SHARES_G = {"forward": 0.8, "rearward": 0.5, "sideways": 0.5, "upward": 0.2}
SOURCE = "NTC load restraint guide: 0.8 g forward, 0.5 g rearward and sideways, 0.2 g upward"


@dataclass(frozen=True, kw_only=True)
class Restraint:
    """Forces that the lashing of a load must hold [N]."""

    forward_n: float
    rearward_n: float
    sideways_n: float
    upward_n: float
    source: str = SOURCE


def restraint(*, mass_kg: float) -> Restraint:
    """Forces the restraint must hold: share × m × g in each direction.

    Parameters: mass [kg]. Returns: Restraint [N]; upward where friction is relied on.
    Raises CalculationError for a mass outside 0 to 12,000 kg.

    >>> held = restraint(mass_kg=400)
    >>> round(held.forward_n), round(held.sideways_n), round(held.upward_n)
    (3138, 1961, 785)

    Source: see SOURCE; the guide and the signatory's judgement win.
    """
    weight = MASS.check(mass_kg) * GRAVITY_MPS2
    return Restraint(
        forward_n=SHARES_G["forward"] * weight,
        rearward_n=SHARES_G["rearward"] * weight,
        sideways_n=SHARES_G["sideways"] * weight,
        upward_n=SHARES_G["upward"] * weight,
    )
