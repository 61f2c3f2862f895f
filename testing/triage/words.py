"""Needs, codes and groups in the words that people read."""

import re

from vehicles.calculations.requirement import EVIDENCE, REPORT, TEST

NEEDS = [
    ("required", "required"),
    ("discretionary", "at the engineer's discretion"),
    ("not_required", "not required"),
    ("not_applicable", "not applicable"),
    ("undecided", "undecided"),
]
# What the rules leave open; nothing is signed while one of these stands undecided by the engineer.
OPEN = ("undecided", "discretionary")
NOT_NEEDED = ("not_required", "not_applicable")
GROUPS = (
    (TEST, "Tests"),
    (REPORT, "Reports and codes"),
    (EVIDENCE, "Evidence to collect"),
    ("none", "Not needed"),
)
_VSB14 = re.compile(r"L[A-Z](\d+)?(/L[A-Z]\d+)?")


def need_words(need):
    """The need of a requirement in words, as people read it."""
    return dict(NEEDS).get(need, str(need))


def vsb14_code(code):
    """The code where it is one of VSB 14; other lines have only a title.

    >>> vsb14_code("LS3/LS4"), vsb14_code("LT2"), vsb14_code("DRIVING_REPORT")
    ('LS3/LS4', 'LT2', '')
    """
    return code if _VSB14.fullmatch(code) else ""


def heading(code, title):
    """What a line is called on screen and paper.

    >>> heading("LT2", "Lane-change test"), heading("PHOTOS", "Photographs")
    ('Lane-change test (LT2)', 'Photographs')
    """
    shown = vsb14_code(code)
    return f"{title} ({shown})" if shown else title


def group_of(need, leads_to):
    """Where a line stands: with what it leads to, or with what is not needed."""
    return "none" if need in NOT_NEEDED else leads_to
