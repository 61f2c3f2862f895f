"""The triage of a job as it stands now: what the rules say, with the engineer's word laid over it."""

import hashlib
import json
from dataclasses import dataclass
from functools import cached_property

from jobs.models import Job
from testing.triage.canonical import plain
from testing.triage.compute import computed
from testing.triage.editions import rules_for
from testing.triage.models import Override
from testing.triage.words import GROUPS, OPEN, group_of, heading
from vehicles.calculations.errors import CaseError
from vehicles.calculations.requirement import settled
from vehicles.case import case_data

# These two say by themselves how the rest of the job goes.
LANE_CHANGE, DRIVING_REPORT = "LT2", "DRIVING_REPORT"


@dataclass(frozen=True, kw_only=True)
class Line:
    """One requirement as the rules see it, and the engineer's word on it where there is one."""

    computed: dict
    need: str
    override: Override | None

    @property
    def code(self):
        return self.computed["code"]

    @property
    def heading(self):
        return heading(self.code, self.computed["title"])

    @property
    def open(self):
        """Left open by the rules. What follows other lines is settled with them."""
        return self.need in OPEN and not self.computed["follows"]

    @property
    def waits(self):
        """Open only because what it follows is open."""
        return self.need in OPEN and bool(self.computed["follows"])

    def as_dict(self):
        said = self.override and {
            "need": self.override.need,
            "reason": self.override.reason,
            "by": self.override.by.full_name,
            "at": self.override.at.isoformat(),
        }
        return {**self.computed, "computed_need": self.computed["need"], "need": self.need, "override": said}


@dataclass(frozen=True, kw_only=True)
class Triage:
    """The triage of a job as it stands now, before anybody signs."""

    job: Job
    facts: dict
    editions: tuple = ()
    problems: tuple = ()
    work_up: dict | None = None
    lines: tuple[Line, ...] = ()

    @property
    def open_lines(self):
        return [line for line in self.lines if line.open]

    @property
    def groups(self):
        """Lines under what they lead to: (title of the group, lines)."""
        found = {key: [] for key, _ in GROUPS}
        for line in self.lines:
            found[group_of(line.need, line.computed["leads_to"])].append(line)
        return [(key, title, found[key]) for key, title in GROUPS if found[key]]

    def line(self, code):
        return next((line for line in self.lines if line.code == code), None)

    @property
    def lane_change(self):
        return self.line(LANE_CHANGE)

    @property
    def driving_report(self):
        return self.line(DRIVING_REPORT)

    @property
    def beyond(self):
        """The line that says it cannot be certified as it is, while it stands."""
        line = self.line("REDUCTION")
        return line if line and line.need == "required" else None

    def results(self):
        """What a signature covers, as data."""
        return plain(
            {
                "editions": self.work_up["edition"],
                "category": self.work_up["category"],
                "height": self.work_up["height"],
                "requirements": [line.as_dict() for line in self.lines],
            }
        )

    @cached_property
    def digest(self):
        """Tells whether what is signed is what was read."""
        seen = json.dumps([self.facts, self.results() if self.work_up else None], sort_keys=True)
        return hashlib.sha256(seen.encode()).hexdigest()


def facts_of(job):
    """The facts that the decision rests on. Who drives on the day does not change what is required."""
    return plain(case_data(job.vehicle, jurisdiction=job.jurisdiction))


def triage_of(job):
    """Compute the triage from the records as they are now."""
    facts, rules = facts_of(job), rules_for(job.jurisdiction)
    try:
        result, data = computed(facts, rules)
    except CaseError as error:
        return Triage(job=job, facts=facts, editions=rules.editions, problems=error.problems)
    said = {override.code: override for override in job.overrides.select_related("by")}
    needs = settled(result.requirements, {code: override.need for code, override in said.items()})
    lines = tuple(
        Line(computed=line, need=needs[line["code"]], override=said.get(line["code"])) for line in data["requirements"]
    )
    return Triage(job=job, facts=facts, editions=rules.editions, work_up=data, lines=lines)
