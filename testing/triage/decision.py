"""Deciding which tests and reports a job needs: computed by the rules, settled and signed by the engineer."""

from dataclasses import dataclass

from django.db import transaction

from jobs.audit import record
from jobs.models import Job
from testing.models import Override, SignedTriage
from testing.triage.canonical import plain, same
from testing.triage.editions import in_force
from testing.workup import requirements_of
from vehicles.calculations.errors import CaseError
from vehicles.case import case_data

# What the rules leave open; nothing is signed while one of these stands undecided by the engineer.
OPEN = ("undecided", "discretionary")
# These two say by themselves how the rest of the job goes, so they are never left out.
LANE_CHANGE, DRIVING_REPORT = "LT2", "DRIVING_REPORT"


class NotSigned(Exception):
    """The decision cannot be signed as it stands; the text says why."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """One requirement as the rules see it, and the engineer's word on it where there is one."""

    computed: dict
    override: Override | None

    @property
    def need(self):
        return self.override.need if self.override else self.computed["need"]

    @property
    def open(self):
        return self.need in OPEN

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
    problems: tuple = ()
    work_up: dict | None = None
    lines: tuple[Line, ...] = ()

    @property
    def open_lines(self):
        return [line for line in self.lines if line.open]

    def line(self, code):
        return next((line for line in self.lines if line.computed["code"] == code), None)

    @property
    def lane_change(self):
        return self.line(LANE_CHANGE)

    def results(self):
        """What a signature covers, as data."""
        return plain(
            {
                "category": self.work_up["category"],
                "height": self.work_up["height"],
                "requirements": [line.as_dict() for line in self.lines],
            }
        )


def facts_of(job):
    """The facts that the decision rests on. Who drives on the day does not change what is required."""
    return plain(case_data(job.vehicle, jurisdiction=job.jurisdiction))


def triage_of(job):
    """Compute the triage from the records as they are now."""
    try:
        work_up = requirements_of(job)
    except CaseError as error:
        return Triage(job=job, problems=error.problems)
    said = {override.code: override for override in job.overrides.select_related("by")}
    lines = tuple(
        Line(computed=requirement, override=said.get(requirement["code"])) for requirement in work_up["requirements"]
    )
    return Triage(job=job, work_up=work_up, lines=lines)


def signed(job):
    """The latest signed decision, or None. Earlier ones stay readable."""
    return job.signed_triages.select_related("by").last()


def need(job, code):
    """What the signed decision says of a requirement, or None while nothing is signed."""
    decision = signed(job)
    if decision is None:
        return None
    lines = {line["code"]: line["need"] for line in decision.results["requirements"]}
    return lines.get(code, "not_required")


def differences(job, decision, now):
    """What changed since the signature, one sentence for each fact, rule edition or requirement."""
    if now.work_up is None:
        return ["The facts contradict each other now: " + "; ".join(map(str, now.problems))]
    found = _changed_facts(decision.inputs, facts_of(job))
    before = {edition.key for edition in decision.editions.all()}
    current = {edition.key for edition in in_force(job.jurisdiction) if edition}
    if before != current:
        found.append(f"Edition of rules: was {', '.join(sorted(before))}, is {', '.join(sorted(current))}.")
    was = {line["code"]: line["need"] for line in decision.results["requirements"]}
    for line in now.lines:
        code = line.computed["code"]
        if was.get(code) != line.need:
            found.append(f"{code}: was {_words(was.get(code))}, is {_words(line.need)}.")
    gone = was.keys() - {line.computed["code"] for line in now.lines}
    return found + [f"{code}: was {_words(was[code])}, is no longer listed." for code in sorted(gone)]


def _words(value):
    return "not known" if value is None else str(value).replace("_", " ")


def _changed_facts(before, now):
    found = []
    for name in sorted(before["vehicle"].keys() | now["vehicle"].keys()):
        old, new = before["vehicle"].get(name), now["vehicle"].get(name)
        if old != new:
            found.append(f"{name.replace('_', ' ')}: was {_words(old)}, is {_words(new)}.")
    if before["jurisdiction"] != now["jurisdiction"]:
        found.append(f"Registered in: was {before['jurisdiction']}, is {now['jurisdiction']}.")
    if not same(before["modifications"], now["modifications"]):
        found.append("The list of modifications or a measurement of one changed.")
    return found


def is_stale(job):
    """True when something the signature rests on has changed since."""
    decision = signed(job)
    return decision is not None and bool(differences(job, decision, triage_of(job)))


@transaction.atomic
def override(*, job, by, code, need, reason):
    """The engineer's word on one line, with a reason. The computed line stays readable beside it."""
    job = _open(job)
    line = triage_of(job).line(code)
    if line is None:
        raise NotSigned(f"{code} is not a line of this triage any more.")
    if need in OPEN:
        raise NotSigned(f"{code}: the engineer decides required, not required or not applicable.")
    record(job, by, f"{code} decided: {_words(need)}", computed=line.computed["need"], reason=reason)
    return Override.objects.create(job=job, code=code, need=need, reason=reason, by=by)


@transaction.atomic
def sign(*, job, by):
    """Sign the triage as it stands. Keeps inputs, editions, results and reasons for good."""
    job = _open(job)
    triage = triage_of(job)
    if triage.problems:
        raise NotSigned("The facts contradict each other: " + "; ".join(map(str, triage.problems)))
    if triage.open_lines:
        codes = ", ".join(line.computed["code"] for line in triage.open_lines)
        raise NotSigned(f"Still open: {codes}. Measure what is missing, or decide each line with a reason.")
    results = triage.results()
    decision = SignedTriage.objects.create(
        job=job,
        inputs=facts_of(job),
        results=results,
        overrides=[line for line in results["requirements"] if line["override"]],
        by=by,
    )
    decision.editions.set([edition for edition in in_force(job.jurisdiction) if edition])
    record(job, by, "Triage signed", needs={line.computed["code"]: line.need for line in triage.lines})
    return decision


def _open(job):
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise NotSigned(f"{job.number} is closed; its decision stands.")
    return job
