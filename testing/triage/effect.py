"""What other rules would change in open jobs: each job decided twice, line held against line."""

from dataclasses import dataclass

from jobs.models import Job
from jobs.steps import DONE
from testing.triage.changes import Change, changed_lines
from testing.triage.compute import needs_under
from testing.triage.editions import rules_for
from testing.triage.triage import facts_of
from vehicles.calculations.errors import CaseError

CHUNK = 500


@dataclass(frozen=True, kw_only=True)
class Effect:
    """One open job that would change, or whose records contradict each other."""

    job: Job
    changes: tuple[Change, ...] = ()
    problem: str = ""


def open_jobs(rule_sets):
    """Open jobs of the jurisdictions that the rules concern, oldest first."""
    jobs = Job.objects.exclude(stage=DONE).filter(jurisdiction__in=list(rule_sets))
    return jobs.select_related("vehicle").prefetch_related("vehicle__modifications", "overrides").order_by("pk")


def effects(jobs, rule_sets):
    """For each job an Effect when the other rules change it, None when not.

    ``rule_sets`` maps a jurisdiction to the rules to try. The rules in force are read once.
    """
    standing = {name: rules_for(name).rule_set for name in rule_sets}
    for job in jobs:
        yield _effect(job, standing[job.jurisdiction], rule_sets[job.jurisdiction])


def _effect(job, standing, tried):
    facts = facts_of(job)
    decided = {override.code: override.need for override in job.overrides.all()}
    try:
        before, needs_before = needs_under(facts, standing, decided)
        after, needs_after = needs_under(facts, tried, decided)
    except CaseError as error:
        return Effect(job=job, problem="; ".join(map(str, error.problems)))
    if needs_before == needs_after:
        return None
    return Effect(job=job, changes=tuple(changed_lines(before, after, needs_before, needs_after)))
