"""The speed ladder of one case: target by category, first speed by the rise."""

from dataclasses import dataclass

from .category import Category
from .explain import Working
from .height import HeightLedger
from .rulesets import RuleSet
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


def speeds_for(*, rules: RuleSet, category: Category, height: HeightLedger) -> Speeds:
    """Target 110 km/h for MA, MB and MC, 100 for all others; first attempt at most 80, or 60.

    Parameters
    ----------
    rules : RuleSet
        Target and first speeds, step [km/h], rise that counts as high [mm]
    category : Category
        The resulting category
    height : HeightLedger
        The rise [mm]

    Returns
    -------
    Speeds
        [km/h]

    Notes
    -----
    When the rise is not known the lower first speed is taken, with a caution: the safe side.

    Source: common practice, no published source; the rise that counts as high is our assumption.
    """
    high = rules.need("speed.high_lift_mm")
    rise = height.total_mm
    lower = rise is None or high.crossed(rise)
    first_rule = rules.need("speed.first_max_high_lift_kmh" if lower else "speed.first_max_kmh")
    first = int(first_rule.value)
    cautions = []
    if rise is None:
        cautions.append(f"The rise is not known: the first attempt is planned at or below {first} km/h.")
    elif lower:
        cautions.append(
            f"High lift ({beside(rise, high.value)} mm, more than {plain(high.value)} mm): first attempt at or "
            f"below {first} km/h."
        )
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
