"""Results of measured procedures such as brakes and noise: recorded with limits and instrument."""

from django.db import transaction
from django.utils.formats import date_format

from jobs.audit import record
from jobs.models import Job
from jobs.refused import Refused
from testing.testday.models import Measurement
from testing.testday.opening import STEP_KEY
from testing.testday.procedures import measured, measured_keys
from testing.triage import decision
from testing.triage.canonical import plain, same


def latest(job):
    """The last sheet of each procedure that was recorded for this job, by its key."""
    return {sheet.procedure: sheet for sheet in Measurement.objects.filter(job=job).select_related("by").order_by("pk")}


def asked(job):
    """Procedures by key that the signed triage requires a result of."""
    keys = measured_keys()
    return [key for key in keys if any(decision.need(job, code) == "required" for code in measured(key).asked_by)]


def faults(job):
    """What is asked for and was not measured, and what was and does not keep its limits, one sentence each."""
    done = latest(job)
    for key in asked(job):
        if key not in done:
            yield f"{measured(key).title}: the signed triage asks for it and no sheet is recorded."
    for sheet in done.values():
        kind = measured(sheet.procedure)
        if changed := [name for name, value in kind.facts(job).items() if not same(sheet.values.get(name), value)]:
            names = ", ".join(kind.label(name) for name in changed)
            yield f"{kind.title} of {date_format(sheet.measured_on)}: {names} changed since, measure or judge it again."
        elif not sheet.met:
            yield f"{measured(sheet.procedure).title} of {date_format(sheet.measured_on)}: {'; '.join(sheet.findings)}."


@transaction.atomic
def record_measurement(*, job, by, procedure, measured_on, values, instrument, calibrated_until, remark=""):
    """Keep one sheet with the limits as they are now. A later sheet takes the place of an earlier one."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.stage != STEP_KEY:
        raise Refused(f"{job.number} does not stand at the test day: move it on to there first.")
    if calibrated_until < measured_on:
        raise Refused(
            f"{instrument} was in calibration until {date_format(calibrated_until)} and was used on "
            f"{date_format(measured_on)}."
        )
    kind = measured(procedure)
    findings = kind.judge(values)
    sheet = Measurement.objects.create(
        job=job,
        by=by,
        procedure=procedure,
        measured_on=measured_on,
        values=plain(values),
        limits=plain(kind.limits),
        instrument=instrument,
        calibrated_until=calibrated_until,
        met=not findings,
        findings=findings,
        remark=remark,
    )
    record(job, by, f"{kind.title}: {'met' if sheet.met else 'not met'}", values=sheet.values, findings=findings)
    return sheet
