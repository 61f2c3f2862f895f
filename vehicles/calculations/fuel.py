"""The mass of fuel between the level as weighed and another level."""

from .case import Vehicle
from .rulesets import RuleSet

LITRES_PER_M3 = 1000.0


def density_kg_per_m3(fuel: str, *, rules: RuleSet) -> float:
    """Density of a fuel [kg/m³]; electric has nothing to fill.

    >>> from vehicles.reference import rule_set
    >>> density_kg_per_m3("diesel", rules=rule_set("NSW")), density_kg_per_m3("electric", rules=rule_set("NSW"))
    (840.0, 0.0)

    Source: EN 590 for diesel, published ranges for petrol, memory for LPG (see the rules).
    """
    return 0.0 if fuel == "electric" else rules.value(f"fuel.{fuel}_kg_per_m3")


def mass_to_level_kg(vehicle: Vehicle, *, level: float, rules: RuleSet) -> float | None:
    """Fuel to add to reach a level: ``m = (level − level as weighed) × tank × density``.

    Parameters
    ----------
    vehicle : Vehicle
        Its fuel, tank [L] and level as weighed [0 to 1]
    level : float
        Level to reach [0 to 1]
    rules : RuleSet
        Densities

    Returns
    -------
    float or None
        Mass [kg], negative when fuel has to be drained; None when something is not known

    Examples
    --------
    >>> from vehicles.reference import rule_set
    >>> tank = Vehicle(fuel="diesel", fuel_tank_l=87, fuel_level=0.4)
    >>> round(mass_to_level_kg(tank, level=0.9, rules=rule_set("NSW")), 2)
    36.54

    Source: definition of density.
    """
    if vehicle.fuel == "electric":
        return 0.0
    if vehicle.fuel is None or vehicle.fuel_tank_l is None or vehicle.fuel_level is None:
        return None
    litres = (level - vehicle.fuel_level) * vehicle.fuel_tank_l
    return litres / LITRES_PER_M3 * density_kg_per_m3(vehicle.fuel, rules=rules)
