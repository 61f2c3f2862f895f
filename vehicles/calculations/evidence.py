"""What has to be collected: because of a kind of modification, or for another line."""

from collections.abc import Iterator, Mapping

from .case import Case
from .explain import Reason
from .modifications import KINDS
from .requirement import EVIDENCE, Requirement
from .rulesets import Evidence, RuleSet
from .wording import plain


def evidence(case: Case, rules: RuleSet, lines: Mapping[str, Requirement]) -> Iterator[Requirement]:
    """One line for each piece of evidence that something on this vehicle calls for.

    Evidence for a kind of modification is required. What is collected for other lines follows
    them: it is needed as far as they are.

    Parameters
    ----------
    case : its modifications [mm, kg]
    rules : the evidence of its editions, with their limits in their own units
    lines : the requirements so far, by code

    Returns
    -------
    Requirements in the order of the rules.

    Raises
    ------
    Nothing.

    Example
    -------
    >>> from vehicles.reference import rule_set
    >>> from .case import Vehicle
    >>> from .modifications import Modification
    >>> lift = Modification(kind="body_lift", values={"lift_mm": 50})
    >>> case = Case(jurisdiction="NSW", vehicle=Vehicle(gvm_kg=2950, adr_category="MC"), modifications=(lift,))
    >>> [line.code for line in evidence(case, rule_set("NSW"), {})]
    ['PHOTOS', 'RECEIPTS', 'KIT_APPROVAL']

    Source: each line cites its own.
    """
    for item in rules.evidence:
        titles = [KINDS[mod.kind].title for mod in case.modifications if mod.kind in item.kinds]
        followed = [lines[code] for code in item.follows if code in lines]
        if not titles and not followed:
            continue
        yield Requirement(
            code=item.key,
            title=item.title,
            need="required",
            reasons=(Reason(text=_text(item, titles, followed), source=item.cited), *_limit(item, rules)),
            leads_to=EVIDENCE,
            follows=() if titles else tuple(line.code for line in followed),
        )


def _text(item: Evidence, titles: list[str], followed: list[Requirement]) -> str:
    named = titles or [line.title for line in followed]
    return f"For: {', '.join(dict.fromkeys(named))}. {item.note}".strip()


def _limit(item: Evidence, rules: RuleSet) -> Iterator[Reason]:
    limit = None if item.limit is None else rules.threshold(item.limit)
    if limit is not None:
        relation = "at most" if limit.comparison == "more_than" else "at least"
        yield Reason(text=f"Allowed: {relation} {plain(limit.value)} {limit.unit}.", source=limit.cited)
