"""One thing that a case may need, and how needs hang together."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from .explain import Reason

# From the weakest to the strongest: what several lines ask for is what the strongest of them asks for.
STRENGTH = ("not_applicable", "not_required", "discretionary", "undecided", "required")
TEST, REPORT, EVIDENCE = "test", "report", "evidence"
LEADS_TO = (TEST, REPORT, EVIDENCE)


@dataclass(frozen=True, kw_only=True)
class Requirement:
    """One test, report, code or piece of evidence: whether it is needed, why, what would decide it.

    A line that ``follows`` others is needed as far as they are: what the signatory decides about
    them decides about it. ``evidence`` names what to collect for it.
    """

    code: str
    title: str
    need: str
    reasons: tuple[Reason, ...]
    undecided: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()
    leads_to: str = REPORT
    follows: tuple[str, ...] = ()


def strongest(needs: Iterable[str]) -> str:
    """The need that several lines come to together.

    Parameters: needs. Returns: one of them [-].

    >>> strongest(["not_required", "undecided", "discretionary"]), strongest([])
    ('undecided', 'not_applicable')

    Source: our own rule.
    """
    return max(needs, key=STRENGTH.index, default=STRENGTH[0])


def settled(lines: Iterable[Requirement], decided: Mapping[str, str]) -> dict[str, str]:
    """The need of each line once the signatory's decisions are laid over it.

    Parameters
    ----------
    lines : iterable of Requirement
        In the order of the work-up: what is followed stands before what follows it
    decided : mapping
        Need by code, for the lines that the signatory has decided

    Returns
    -------
    dict
        Need by code for every line [-]

    Examples
    --------
    >>> test = Requirement(code="LT2", title="", need="discretionary", reasons=())
    >>> cover = Requirement(code="COVER", title="", need="discretionary", reasons=(), follows=("LT2",))
    >>> settled([test, cover], {"LT2": "required"})
    {'LT2': 'required', 'COVER': 'required'}

    Source: structure, no published source.
    """
    needs: dict[str, str] = {}
    for line in lines:
        if line.code in decided:
            needs[line.code] = decided[line.code]
        elif line.follows:
            needs[line.code] = strongest(needs[code] for code in line.follows if code in needs)
        else:
            needs[line.code] = line.need
    return needs
