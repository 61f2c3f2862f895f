"""What must hold for every vehicle and every set of rules."""

from copy import deepcopy

from hypothesis import example, given
from hypothesis import strategies as st

from tests.calculations.cases import case, raw
from vehicles.calculations.case import JURISDICTIONS
from vehicles.calculations.modifications import KINDS
from vehicles.calculations.parse_case import parse_case
from vehicles.calculations.read_rules import read_rules
from vehicles.calculations.requirement import STRENGTH, settled
from vehicles.calculations.rule_bounds import REQUIRED_NUMBERS
from vehicles.calculations.triage import triage
from vehicles.calculations.tyres import read_tyre
from vehicles.calculations.workup import work_up
from vehicles.reference import edition, price_book, rule_set

PLACES = st.sampled_from(JURISDICTIONS)
SIZES = st.sampled_from(["265/65R17", "285/70R17", "265/70R16", "33x12.50R15", "255/80R17", None])
ONCE = ("tyre_change", "seating_change", "gvm_upgrade", "body_change")


@st.composite
def modification(draw, kinds=tuple(KINDS)):
    kind = KINDS[draw(st.sampled_from(kinds))]
    item = {"kind": kind.key}
    for row in (row for row in kind.numbers if row.name not in kind.optional):
        value = draw(st.none() | (st.integers if row.whole else st.floats)(row.low, row.high))
        if value is not None:
            item[row.name] = value
    if "to" in kind.text and (size := draw(SIZES)):
        item["to"] = size
        if draw(st.booleans()):
            item["to_diameter_mm"] = read_tyre(size).diameter_mm * draw(st.floats(0.93, 1.07))
    return item


def lists(**kwargs):
    def single(items):
        seen = [item["kind"] for item in items]
        return all(seen.count(kind) <= 1 for kind in ONCE)

    return st.lists(modification(**kwargs), min_size=1, max_size=5).filter(single)


def needs(modifications, jurisdiction):
    return triage(case(*modifications, jurisdiction=jurisdiction), rules=rule_set(jurisdiction)).needs


@given(PLACES, lists(), st.randoms())
def test_the_order_of_modifications_decides_nothing(jurisdiction, modifications, random):
    shuffled = random.sample(modifications, len(modifications))
    assert needs(shuffled, jurisdiction) == needs(modifications, jurisdiction)


@given(PLACES, lists())
def test_the_same_input_and_edition_give_the_same_output(jurisdiction, modifications):
    one = raw(*modifications, jurisdiction=jurisdiction)
    first, second = (triage(parse_case(deepcopy(one)), rules=rule_set(jurisdiction)).as_dict() for _ in range(2))
    assert first == second


RAISING = ("suspension_lift", "body_lift", "tyre_change", "steering_change", "roof_load", "gvm_upgrade")


@given(PLACES, lists(kinds=RAISING), st.floats(0, 60), st.floats(0, 60))
@example("NSW", [{"kind": "body_lift", "lift_mm": 1.0}, {"kind": "tyre_change", "to": "265/70R16"}], 0.0, 1.0)
def test_adding_lift_never_removes_a_requirement(jurisdiction, modifications, front_mm, rear_mm):
    more = [*modifications, {"kind": "suspension_lift", "front_mm": front_mm, "rear_mm": rear_mm}]
    before, after = needs(modifications, jurisdiction), needs(more, jurisdiction)
    assert before.keys() <= after.keys()
    for code, need in before.items():
        assert STRENGTH.index(after[code]) >= STRENGTH.index(need), code


@given(PLACES, lists())
def test_every_line_gives_reasons_with_sources_and_what_is_undecided_says_what_to_find_out(jurisdiction, modifications):
    one = case(*modifications, jurisdiction=jurisdiction)
    for line in triage(one, rules=rule_set(jurisdiction)).requirements:
        assert line.reasons
        assert all(reason.text.strip() and reason.source.strip() for reason in line.reasons)
        if line.need == "undecided" and not line.follows:
            assert line.undecided, line.code


@given(PLACES, lists(), st.data())
def test_what_follows_is_as_strong_as_what_it_follows(jurisdiction, modifications, data):
    lines = triage(case(*modifications, jurisdiction=jurisdiction), rules=rule_set(jurisdiction)).requirements
    own = [line.code for line in lines if not line.follows]
    decided = data.draw(st.dictionaries(st.sampled_from(own), st.sampled_from(["required", "not_required"])))
    found = settled(lines, decided)
    for line in lines:
        followed = [found[code] for code in line.follows]
        if followed:
            assert found[line.code] == max(followed, key=STRENGTH.index)
        elif line.code in decided:
            assert found[line.code] == decided[line.code]


@given(st.fixed_dictionaries({name: st.floats(*bounds) for name, bounds in REQUIRED_NUMBERS.items()}), lists())
def test_no_number_that_an_edition_may_hold_breaks_the_work_up(numbers, modifications):
    national = deepcopy(dict(edition("national")))
    for name, value in numbers.items():
        national["thresholds"][name]["value"] = value
    rules = read_rules(national, edition("nsw"))
    assert work_up(case(*modifications), rules=rules, prices=price_book(), with_demand=False).requirements
