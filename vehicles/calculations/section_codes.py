"""Sections and codes of VSB 14 that the kinds of modification fall under; the signatory picks the code."""

from collections.abc import Iterator

from .case import Case
from .explain import Reason
from .modifications import KINDS, Modification
from .requirement import Requirement
from .rulesets import Code, RuleSet


def section_codes(case: Case, rules: RuleSet) -> Iterator[Requirement]:
    """One line for each code of the editions that something on the vehicle falls under.

    Parameters
    ----------
    case : its modifications [mm, kg]
    rules : the codes of its editions

    Returns
    -------
    Requirements in the order of the rules; the signatory picks the code within a section.

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
    >>> [line.code for line in section_codes(case, rule_set("NSW"))]
    ['LH', 'LS9/LS10']

    Source: each line cites its own.
    """
    for code in rules.codes:
        titles = [KINDS[item.kind].title for item in case.modifications if _falls_under(code, item)]
        if titles:
            yield Requirement(
                code=code.code,
                title=code.title,
                need=code.need,
                reasons=(Reason(text=_text(code, titles), source=code.cited),),
                leads_to=code.leads_to,
            )


def _falls_under(code: Code, item: Modification) -> bool:
    """An axle of the suspension that is left as it was needs no code."""
    return item.kind in code.kinds and (code.axle is None or item.number(code.axle) != 0)


def _text(code: Code, titles: list[str]) -> str:
    return f"Falls under this section: {', '.join(dict.fromkeys(titles))}. {code.note}".strip()
