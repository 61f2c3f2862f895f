"""What a work-up warns of, what it could not decide, and how its numbers came about."""

from collections.abc import Iterator

from . import outlook
from .case import Vehicle
from .cautions import cautions_for
from .explain import Working
from .loading import MassLoading
from .manoeuvre import CAUTION as DEMAND_CAUTION
from .rulesets import DUST
from .tyres import Tyre, axle_capacity_kg, read_tyre
from .wording import fixed
from .workup_parts import Parts


def cautions_of(parts: Parts) -> tuple[str, ...]:
    """Everything to be heard before anyone drives, each once.

    Parameters: the parts of a work-up [mm, kg, g]. Returns: sentences.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> cautions_of(done) == done.cautions
    True

    Source: each part names its own.
    """
    return _unique(
        cautions_for(
            case=parts.case,
            rules=parts.rules,
            category=parts.category,
            height=parts.height,
            target_kmh=parts.speeds.target_kmh,
        ),
        parts.masses.cautions,
        parts.axles.cautions,
        tuple(_overloaded_tyres(parts)),
        *(loading.cautions for loading in _loadings(parts)),
        parts.centre_of_gravity.cautions,
        parts.speeds.cautions,
        _not_applicable(parts),
        parts.course.cautions if parts.course else (),
        outlook.cautions(parts.outlook) if parts.outlook else (),
        (DEMAND_CAUTION,) if parts.demand else (),
    )


def undecided_of(parts: Parts) -> tuple[str, ...]:
    """Everything that is not known, with what to measure, each once.

    Parameters: the parts of a work-up [mm, kg, g]. Returns: sentences.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> [text.split(":")[0] for text in undecided_of(done)]
    ['load index']

    Source: each part names its own.
    """
    return _unique(
        parts.category.undecided,
        parts.height.undecided,
        *(item.undecided for item in parts.requirements),
        parts.masses.undecided,
        parts.axles.undecided,
        *(loading.undecided for loading in _loadings(parts)),
        parts.centre_of_gravity.undecided,
        parts.speeds.undecided,
        _body_unknown(parts.case.vehicle),
        _tyres_unknown(parts),
        *(item.undecided for item in parts.stability),
        parts.estimate.undecided,
    )


def workings_of(parts: Parts) -> tuple[Working, ...]:
    """How every deciding number came about, in the order of the work-up.

    Parameters: the parts of a work-up [mm, kg, g]. Returns: each with its own unit.

    >>> from vehicles.reference import worked_example
    >>> done = worked_example()
    >>> [one.quantity for one in workings_of(done) if one.quantity.startswith("Test Mass")]
    ['Test Mass 1', 'Test Mass 2']

    Source: each part names its own.
    """
    return (
        *parts.height.workings,
        *parts.masses.workings,
        *parts.axles.workings,
        *(working for loading in _loadings(parts) for working in loading.workings),
        *parts.centre_of_gravity.workings,
        *parts.speeds.workings,
        *(parts.speedometer.workings if parts.speedometer else ()),
        *(parts.course.workings if parts.course else ()),
        *(parts.site.workings if parts.site else ()),
        *(working for item in parts.stability for working in item.workings),
        *(item.working for item in parts.demand),
        *(outlook.workings(parts.outlook) if parts.outlook else ()),
        *parts.estimate.workings,
    )


def _unique(*groups: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for group in groups for text in group))


def _loadings(parts: Parts) -> Iterator[MassLoading]:
    if parts.loading is not None:
        yield parts.loading.tm1
        yield parts.loading.tm2


def _overloaded_tyres(parts: Parts) -> Iterator[str]:
    """Load index against what each axle carries, where no rating stands in between."""
    fitted = _fitted(parts)
    capacity = None if fitted is None else axle_capacity_kg(fitted)
    for axle in (parts.axles.front, parts.axles.rear):
        carried = axle.empty_kg if axle.tm2_kg is None else axle.tm2_kg
        if capacity is not None and carried is not None and carried > capacity + DUST:
            yield (
                f"Two tyres may carry {fixed(capacity, 0)} kg by their load index, the {axle.axle} axle carries "
                f"{fixed(carried)} kg: do not drive it at that mass."
            )


def _fitted(parts: Parts) -> Tyre | None:
    change, tyre = parts.height.tyres, parts.case.vehicle.tyre
    return change.after if change else read_tyre(tyre) if tyre else None


def _tyres_unknown(parts: Parts) -> tuple[str, ...]:
    fitted = _fitted(parts)
    if fitted is not None and (axle_capacity_kg(fitted) is None or fitted.speed_kmh is None):
        return (
            f"load index: read it and the speed symbol beside {fitted.size} on the sidewall (such as 112S); "
            "without them nobody knows whether the tyres may carry the test masses at the test speeds",
        )
    return ()


def _body_unknown(vehicle: Vehicle) -> tuple[str, ...]:
    wanted = {
        "vehicle.overall_width_mm: measure it, the course and the demand follow from it": vehicle.overall_width_mm,
        "vehicle.overall_length_mm: measure it, the demand follows from it": vehicle.overall_length_mm,
    }
    return tuple(text for text, value in wanted.items() if value is None)


def _not_applicable(parts: Parts) -> tuple[str, ...]:
    if parts.requirement("LT2").need != "not_applicable":
        return ()
    return ("No lane-change test at this GVM: course, speeds and demand are for comparison, not for a test plan.",)
