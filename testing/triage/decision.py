"""Deciding which tests and reports a job needs: computed by the rules, settled and signed by the engineer."""

from django.db import transaction

from jobs.audit import record
from jobs.models import Job
from jobs.reading import read_once
from jobs.refused import Refused
from jobs.workshop.signatories import authority_of
from testing.models import Override, SignedTriage
from testing.triage import changes
from testing.triage.editions import in_force
from testing.triage.triage import DRIVING_REPORT, LANE_CHANGE, Line, Triage, facts_of, triage_of
from testing.triage.words import NEEDS, OPEN, need_words

__all__ = [
    "DRIVING_REPORT",
    "LANE_CHANGE",
    "OPEN",
    "Line",
    "Triage",
    "decide",
    "differences",
    "facts_of",
    "in_force",
    "is_stale",
    "need",
    "override",
    "sign",
    "signed",
    "triage_of",
]

DECIDABLE = tuple(need for need, _ in NEEDS if need not in OPEN)


@read_once
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
    """What changed since the signature: one Change, which reads as a sentence, for each fact, edition or line."""
    if now.work_up is None:
        problems = "; ".join(map(str, now.problems))
        contradiction = f"contradict each other ({problems})"
        return [changes.Change(kind=changes.FACT, what="Facts of the vehicle", was="in order", now=contradiction)]
    return [
        *changes.facts(decision.inputs, now.facts),
        *changes.editions(decision.editions.defer("data"), now.editions),
        *changes.lines(decision.results["requirements"], now.lines),
    ]


def is_stale(job):
    """True when something the signature rests on has changed since."""
    decision = signed(job)
    return decision is not None and bool(differences(job, decision, triage_of(job)))


def override(*, job, by, code, need, reason):
    """The engineer's word on one line, with a reason. The computed line stays readable beside it."""
    return decide(job=job, by=by, decisions=[(code, need, reason)])[0]


@transaction.atomic
def decide(*, job, by, decisions):
    """The engineer's word on several lines at once: (code, need, reason) each. All are kept, or none."""
    job = _open(job)
    triage = triage_of(job)
    kept = []
    for code, wanted, reason in decisions:
        line = triage.line(code)
        if line is None:
            raise Refused(f"{code} is not a line of this triage any more.")
        if wanted not in DECIDABLE:
            raise Refused(f"{line.heading}: the engineer decides required, not required or not applicable.")
        if not reason.strip():
            raise Refused(f"{line.heading}: a decision needs its reason.")
        record(job, by, f"{code} decided: {need_words(wanted)}", computed=line.computed["need"], reason=reason)
        kept.append(Override.objects.create(job=job, code=code, need=wanted, reason=reason, by=by))
    return kept


@transaction.atomic
def sign(*, job, by, seen=None):
    """Sign the triage as it stands. Keeps inputs, editions, results and reasons for good.

    ``seen`` is the digest of the triage that the person read: nobody signs what changed meanwhile.
    """
    job = _open(job)
    triage = triage_of(job)
    if triage.problems:
        raise Refused("The facts contradict each other: " + "; ".join(map(str, triage.problems)))
    if seen is not None and seen != triage.digest:
        raise Refused("Facts, rules or decisions changed while you were reading. Look at them again, then sign.")
    if triage.open_lines:
        names = ", ".join(line.heading for line in triage.open_lines)
        raise Refused(f"Still open: {names}. Measure what is missing, or decide each line with a reason.")
    standing = signed(job)
    if standing and standing.inputs == triage.facts and triage.results().items() <= standing.results.items():
        return standing
    return _keep(job, by, triage)


def _keep(job, by, triage):
    # Names and numbers of people change; the record keeps those of the day.
    signatory = {"name": by.full_name, "authority_number": authority_of(by, jurisdiction=job.jurisdiction)}
    results = {**triage.results(), "signed_by": signatory}
    decision = SignedTriage.objects.create(
        job=job,
        inputs=triage.facts,
        results=results,
        overrides=[line for line in results["requirements"] if line["override"]],
        by=by,
    )
    decision.editions.set(triage.editions)
    record(job, by, "Triage signed", needs={line.code: line.need for line in triage.lines})
    return decision


def _open(job):
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise Refused(f"{job.number} is closed; its decision stands.")
    return job


def rules_fixed(job):
    """Why the jurisdiction of the job stands: a signature was given under its rules."""
    if signed(job) is not None:
        yield (
            f"The triage is signed under the rules of {job.get_jurisdiction_display()}. If the vehicle is registered "
            "elsewhere, close this job without a certificate and book the vehicle in again."
        )
