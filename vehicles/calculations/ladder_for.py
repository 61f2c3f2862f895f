"""The speed ladder of one case: target by category, first speed by the rise."""

from dataclasses import dataclass

from .category import Category
from .explain import Working
from .height import HeightLedger
from .rulesets import RuleSet, Threshold
from .speeds import ladder
from .wording import beside, plain


@dataclass(frozen=True, kw_only=True)
class Speeds:
    """Speeds [km/h]; the target is None and the ladder empty while the category is undecided."""

    target_kmh: int | None
    first_max_kmh: int
    ladder_kmh: tuple[int, ...]
    undecided: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def speeds_for(*, rules: RuleSet, category: Category, height: HeightLedger, small_margins: str | None = None) -> Speeds:
    """Target 110 km/h for MA, MB and MC, 100 for all others; first attempt at most 80, or 60.

    Parameters
    ----------
    rules : RuleSet
        Target and first speeds, step [km/h], rise that counts as high [mm]
    category : Category
        The resulting category
    height : HeightLedger
        The rise [mm]
    small_margins : str or None
        Why the margins at the test masses are small, None when they are not or not known [-]

    Returns
    -------
    Speeds
        [km/h]

    Notes
    -----
    A high lift or small margins call for the lower first speed. When the rise is not known the
    lower first speed is taken, with a caution: the safe side.

    Example
    -------
    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> found = speeds_for(rules=done.rules, category=done.category, height=done.height)
    >>> found.target_kmh, found.ladder_kmh
    (110, (80, 90, 100, 110))

    Source: common practice, no published source; the rise that counts as high is our assumption.
    """
    high = rules.need("speed.high_lift_mm")
    rise = height.total_mm
    lower = rise is None or high.crossed(rise) or small_margins is not None
    first_rule = rules.need("speed.first_max_high_lift_kmh" if lower else "speed.first_max_kmh")
    first = int(first_rule.value)
    cautions = []
    if rise is None:
        cautions.append(f"The rise is not known: the first attempt is planned at or below {first} km/h.")
    elif high.crossed(rise):
        cautions.append(
            f"High lift ({beside(rise, high.value)} mm, more than {plain(high.value)} mm): first attempt at or "
            f"below {first} km/h."
        )
    if small_margins is not None:
        cautions.append(f"Small margins: first attempt at or below {first} km/h. {small_margins}")
    if category.passenger is None:
        undecided = ("category: it decides the target speed",)
        return Speeds(
            target_kmh=None,
            first_max_kmh=first,
            ladder_kmh=(),
            undecided=undecided,
            cautions=tuple(cautions),
            workings=(),
        )
    target_rule = rules.need("speed.target_passenger_kmh" if category.passenger else "speed.target_other_kmh")
    target = int(target_rule.value)
    return Speeds(
        target_kmh=target,
        first_max_kmh=first,
        ladder_kmh=ladder(target_kmh=target, first_max_kmh=first, step_kmh=int(rules.value("speed.step_kmh"))),
        undecided=(),
        cautions=tuple(cautions),
        workings=(
            _first(first_rule, rise=rise, high=high, small_margins=small_margins),
            Working(
                quantity="Target speed",
                formula="110 km/h for MA, MB and MC; 100 km/h for all others, as the rules state",
                inputs={"category": str(category.code)},
                value=float(target),
                unit="km/h",
                source=target_rule.cited,
            ),
        ),
    )


def _first(rule: Threshold, *, rise: float | None, high: Threshold, small_margins: str | None) -> Working:
    return Working(
        quantity="First attempt at most",
        formula="60 km/h for a rise that counts as high, or is not known, or small margins; else 80 km/h",
        inputs={
            "rise": "not known" if rise is None else f"{beside(rise, high.value)} mm",
            "high from": f"more than {plain(high.value)} mm",
            "margins": small_margins or "not small, as far as they are measured",
        },
        value=rule.value,
        unit="km/h",
        source=rule.cited,
    )
