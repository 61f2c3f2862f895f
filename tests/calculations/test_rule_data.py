"""Editions of rules whose entries do not answer to one another, or say what no rule can say."""

import pytest

from tests.calculations.test_rulesets import NATIONAL, NSW, changed, problems

EVIDENCE = {"key": "E", "title": "t", "kinds": [], "follows": [], "source": "s", "tag": "pub", "note": ""}
CODE = {"code": "LX", "title": "t", "need": "required", "source": "s", "tag": "pub"}


@pytest.mark.parametrize(
    ("entry", "path", "words"),
    [
        ({"follows": ["NOWHERE"]}, "NSW.evidence E.follows", "'NOWHERE'; allowed: "),
        ({"limit": "no.such_mm"}, "NSW.evidence E.limit", "is no number of these editions"),
        ({"key": "LA"}, "NSW.evidence LA.key", "choose another key"),
        ({"key": "not a word"}, "NSW.evidence[0].key", "up to 30 letters"),
        ({"follows": "LA"}, "NSW.evidence[0].follows", "a list of texts is needed"),
        ({"colour": "red"}, "NSW.evidence[0].colour", "unknown key; allowed: "),
    ],
)
def test_evidence_must_answer_to_the_rest(entry, path, words):
    assert words in problems(jurisdiction=changed(NSW, evidence=[EVIDENCE | entry]))[path]


def test_a_number_that_no_rule_knows():
    number = dict(NATIONAL["thresholds"]["wind.limit_mps"])
    found = problems(jurisdiction=changed(NSW, thresholds={"weather.moon": number}))
    assert "no rule is known by that name" in found["NSW.thresholds.weather.moon"]


def test_a_number_outside_its_bounds():
    found = problems(changed(NATIONAL, thresholds__wind_dot_limit_mps__value=900))
    assert "900; allowed: " in found["national.thresholds.wind.limit_mps.value"]


def test_kinds_of_a_code_are_a_list_of_texts():
    found = problems(jurisdiction=changed(NSW, codes=[CODE | {"kinds": "engine_change"}]))
    assert "a list of texts is needed" in found["NSW.codes[0].kinds"]
