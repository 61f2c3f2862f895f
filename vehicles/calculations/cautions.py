"""What every sheet warns of, and what this case gives reason to warn of."""

from collections.abc import Iterator

from .case import Case
from .category import Category
from .height import HeightLedger
from .rulesets import UNCHECKED, RuleSet
from .tyres import Tyre, axle_capacity_kg, read_tyre
from .wording import fixed, plain

GENERAL = (
    "Planning aid only. The law of the place, the texts in force and the judgement of the licensed signatory decide.",
    "Closed course only, kept clear of people; skilled driver with helmet and gloves; loose and roof items "
    "off, ballast secured.",
)


def cautions_for(
    *, case: Case, rules: RuleSet, category: Category, height: HeightLedger, target_kmh: int | None
) -> tuple[str, ...]:
    """The general warnings, then those of this case.

    Parameters: the case, its rules, category and height; target speed [km/h]. Returns:
    sentences [-].

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> parts = {"case": done.case, "rules": done.rules, "category": done.category, "height": done.height}
    >>> told = cautions_for(**parts, target_kmh=110)
    >>> any("wind is above 3 m/s" in text for text in told)
    True

    Source: common practice, no published source.
    """
    wind = rules.need("wind.limit_mps")
    stop = (
        f"Stop when the wind is above {plain(wind.value)} m/s, when the course is wet, when the driver is not "
        "confident, or when a wheel lifts, a tyre leaves the rim or ballast moves."
    )
    return (*GENERAL, stop, *_rules(rules), *_crew(case), *category.cautions, *_tyres(case, height, target_kmh))


def _rules(rules: RuleSet) -> Iterator[str]:
    unchecked = [edition.id for edition in rules.editions if edition.checked_by is None]
    if unchecked:
        yield f"Rules {', '.join(unchecked)}: {UNCHECKED}."
    for edition in rules.editions[1:]:
        if edition.note:
            yield f"{edition.id}: {edition.note}"


def _crew(case: Case) -> Iterator[str]:
    if case.crew.driver_is_owner:
        yield (
            "The driver is the owner: normally another person drives; an owner needs proven experience as a "
            "test driver and the signatory's consent."
        )


def _tyres(case: Case, height: HeightLedger, target_kmh: int | None) -> Iterator[str]:
    change = height.tyres
    fitted = change.after if change else read_tyre(case.vehicle.tyre) if case.vehicle.tyre else None
    if change and abs(change.change_percent) > 0.05:
        yield (
            f"Speedometer: with {change.after.size} an indicated 100 km/h is {fixed(change.true_at_100_kmh)} km/h, "
            f"if it was exact with {change.before.size}. Drive the test by GPS speed."
        )
    if fitted is None or (any(item.kind == "tyre_change" for item in case.modifications) and not change):
        return
    if fitted.handbook_mm is None:
        yield f"{fitted.size} names its diameter in inches, nominally: measure the tyre near a limit."
    yield from _ratings(fitted, case, target_kmh)


def _ratings(tyre: Tyre, case: Case, target_kmh: int | None) -> Iterator[str]:
    """Load index against each axle rating, speed symbol against the highest test speed."""
    capacity, top = axle_capacity_kg(tyre), tyre.speed_kmh
    if capacity is not None:
        ratings = (("front", case.vehicle.front_axle_rating_kg), ("rear", case.vehicle.rear_axle_rating_kg))
        for axle, rating in ratings:
            if rating is not None and capacity < rating:
                yield (
                    f"Two tyres with load index {tyre.load_index} carry {fixed(capacity, 0)} kg, less than the "
                    f"{axle} axle rating of {fixed(rating, 0)} kg."
                )
    if top is not None and target_kmh is not None and top < target_kmh:
        yield f"Speed symbol {tyre.speed_symbol} allows {top} km/h, less than the target of {target_kmh} km/h."
