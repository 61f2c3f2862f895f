"""From the data of editions to a RuleSet: the jurisdiction's own laid over the national one."""

from collections.abc import Mapping

from .errors import Problem, RuleDataError
from .rule_bounds import REQUIRED
from .rule_layer import Layer
from .rulesets import Code, Discretion, Evidence, RuleSet, Setting, Threshold

# Lines that every work-up has, whatever the codes of the editions: evidence may follow them.
STANDING = ("LT2", "DRIVING_REPORT", "BRAKE_CHECK", "CATEGORY", "RIDE_HEIGHT", "REDUCTION")


def read_rules(national: Mapping[str, object], jurisdiction: Mapping[str, object] | None = None) -> RuleSet:
    """The national edition and, laid over it, that of a jurisdiction.

    Raises RuleDataError with every problem of the data.

    Parameters: the data of both, each number with its unit [-]. Returns: RuleSet.

    >>> from vehicles.reference import edition
    >>> read_rules(edition("national"), edition("nsw")).value("wind.limit_mps")
    3.0

    Source: our own format; each rule names its own.
    """
    problems: list[Problem] = []
    layers = [Layer(national, "national", problems)]
    if jurisdiction is not None:
        layers.append(Layer(jurisdiction, str(jurisdiction.get("jurisdiction")), problems))
    thresholds: dict[str, Threshold] = {}
    settings: dict[str, Setting] = {}
    discretions: dict[str, Discretion] = {}
    codes: dict[str, Code] = {}
    evidence: dict[str, Evidence] = {}
    for layer in layers:
        thresholds.update((item.name, item) for item in layer.numbers())
        settings.update((item.name, item) for item in layer.choices())
        discretions.update((item.kind, item) for item in layer.discretions())
        codes.update((item.code, item) for item in layer.codes())
        evidence.update((item.key, item) for item in layer.evidence())
    for name in REQUIRED:
        if name not in thresholds and name not in settings:
            problems.append(Problem(path=f"national.thresholds.{name}", message="missing; it must be stated"))
    problems.extend(_loose_ends(thresholds, codes, evidence))
    if problems:
        raise RuleDataError(tuple(problems))
    return RuleSet(
        jurisdiction=layers[-1].edition.jurisdiction,
        editions=tuple(layer.edition for layer in layers),
        thresholds=thresholds,
        settings=settings,
        discretions=discretions,
        codes=tuple(codes.values()),
        evidence=tuple(evidence.values()),
    )


def _loose_ends(
    thresholds: Mapping[str, Threshold], codes: Mapping[str, Code], evidence: Mapping[str, Evidence]
) -> list[Problem]:
    """Names in one entry that no other entry answers to."""
    found = []
    lines = (*STANDING, *codes)
    for item in evidence.values():
        where = f"{item.edition.jurisdiction or 'national'}.evidence {item.key}"
        for code in item.follows:
            if code not in lines:
                found.append(Problem(path=f"{where}.follows", message=f"{code!r}; allowed: {', '.join(lines)}"))
        if item.limit is not None and item.limit not in thresholds:
            found.append(Problem(path=f"{where}.limit", message=f"{item.limit!r} is no number of these editions"))
        if item.key in lines:
            found.append(Problem(path=f"{where}.key", message="is the code of another line; choose another key"))
    return found
