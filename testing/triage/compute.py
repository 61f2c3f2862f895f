"""The triage of one case, computed once for the same facts and the same rules."""

import json
from functools import lru_cache

from vehicles.calculations.parse_case import parse_case
from vehicles.calculations.requirement import settled
from vehicles.calculations.triage import triage


def computed(facts, rules):
    """Lines, category and rise as calculated, and the same as data. Raises CaseError.

    The result is shared between callers: read it, never change it.
    """
    return _computed(json.dumps(facts, sort_keys=True), rules)


@lru_cache(maxsize=32)
def _computed(facts, rules):
    result = triage(parse_case(json.loads(facts)), rules=rules.rule_set)
    return result, result.as_dict()


def needs_under(facts, rule_set, decided):
    """The lines of a case under a set of rules, and their needs with the engineer's decisions laid over.

    Nothing is kept: this runs over thousands of jobs. Raises CaseError.
    """
    lines = triage(parse_case(facts), rules=rule_set).requirements
    return lines, settled(lines, decided)
