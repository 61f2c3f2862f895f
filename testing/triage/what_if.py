"""What the rules would say of other parts: asked at the desk, written down nowhere."""

from dataclasses import dataclass

from testing.triage.changes import changed_lines
from vehicles.calculations.parse_case import parse_case
from vehicles.calculations.requirement import settled
from vehicles.calculations.workup import WorkUp, work_up

# Each question, and the kinds of modification that its answer takes the place of.
ASKED = {
    ("front_mm", "rear_mm"): ("suspension_lift", "suspension_lowering"),
    ("lift_mm",): ("body_lift",),
    ("to",): ("tyre_change",),
    ("to_kg",): ("gvm_upgrade",),
    ("seats",): ("seating_change",),
}


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """The case as it stands beside the case as it might be."""

    now: WorkUp
    then: WorkUp

    @property
    def changes(self):
        before, after = self.now.requirements, self.then.requirements
        return list(changed_lines(before, after, settled(before, {}), settled(after, {})))

    @property
    def lane_change(self):
        return self.then.requirement("LT2")


def as_fitted(modifications):
    """What the form shows at first: what is on the vehicle now. Several lifts add up."""
    found = {}
    for names, kinds in ASKED.items():
        for item in modifications:
            if item["kind"] != kinds[0]:
                continue
            for name in names:
                value = item.get(name)
                found[name] = found[name] + value if name in found and name.endswith("_mm") else value
    return {name: value for name, value in found.items() if value is not None}


def instead(modifications, answers, asked):
    """The list of modifications with the answers in place of what they ask about."""
    found = list(modifications)
    for names, kinds in ASKED.items():
        if not asked.intersection(names):
            continue
        found = [item for item in found if item["kind"] not in kinds]
        values = {name: answers[name] for name in names if answers.get(name) not in (None, "")}
        if values:
            found.append({"kind": kinds[0], **values})
    return found


def compare(facts, modifications, rule_set, *, prices):
    """Both work-ups, without the demand of the course. Raises CaseError."""

    def done(case):
        return work_up(parse_case(case), rules=rule_set, prices=prices, with_demand=False)

    return Comparison(now=done(facts), then=done({**facts, "modifications": modifications}))
