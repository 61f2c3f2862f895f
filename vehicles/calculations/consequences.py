"""What the resulting category means for the test."""

from .category import Category
from .explain import Reason
from .rulesets import RuleSet
from .wording import fixed, plain


def consequences(*, category: Category, rules: RuleSet) -> tuple[Reason, ...]:
    """Target speed, load rule and whether the lane-change test applies, for the resulting category.

    Parameters
    ----------
    category : Category
        The resulting category with GVM [kg] and seats
    rules : RuleSet
        Target speeds [km/h], masses for a seat [kg], limit of the test [kg]

    Returns
    -------
    tuple of Reason
        Sentences with their sources; what is undecided is left out

    Examples
    --------
    >>> from vehicles.reference import rule_set
    >>> goods = Category(code="NB1", presented="NA", gvm_kg=3501, seats=5)
    >>> for reason in consequences(category=goods, rules=rule_set("NSW")):
    ...     print(reason.text)
    NB1 instead of NA: the resulting category's requirements apply.
    Target speed 100 km/h.
    Test Mass 2 is the GVM of 3,501 kg.
    No lane-change test: the GVM is more than 3,500 kg.

    Source: each sentence names its own.
    """
    found: list[Reason] = []
    if category.code is not None:
        found.extend(_by_code(category, rules))
    limit = rules.need("lt2.gvm_limit_kg")
    if category.gvm_kg is not None and limit.crossed(category.gvm_kg):
        text = f"No lane-change test: the GVM is more than {plain(limit.value)} kg."
        found.append(Reason(text=text, source=limit.cited))
    return tuple(found)


def _by_code(category: Category, rules: RuleSet) -> list[Reason]:
    found = []
    if category.presented is not None and category.presented != category.code:
        text = f"{category.code} instead of {category.presented}: the resulting category's requirements apply."
        found.append(Reason(text=text, source="Common practice, no published source"))
    target = rules.need("speed.target_passenger_kmh" if category.passenger else "speed.target_other_kmh")
    found.append(Reason(text=f"Target speed {plain(target.value)} km/h.", source=target.cited))
    occupant, luggage = rules.need("seat.occupant_kg"), rules.need("seat.luggage_kg")
    if category.passenger:
        text = (
            f"Test Mass 2 adds {plain(occupant.value)} kg for each seat, the driver counted in, and "
            f"{plain(luggage.value)} kg of luggage for each seat."
        )
        found.append(Reason(text=text, source=luggage.cited))
    else:
        gvm = "" if category.gvm_kg is None else f" of {fixed(category.gvm_kg, 0)} kg"
        found.append(Reason(text=f"Test Mass 2 is the GVM{gvm}.", source=occupant.cited))
    return found
