"""Versions of an estimate: written, sent, replaced by the next. What was sent is what was sent."""

import hashlib
from datetime import timedelta

from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format

from jobs.audit import record
from jobs.estimates.compute import price
from jobs.models import Estimate, EstimateEvent, Job, SentEstimate, Workshop
from jobs.refused import Refused

KIND = EstimateEvent.Kind


def latest(job):
    return job.estimates.first()


def latest_sent(job):
    """The version that the owner is asked about, or None."""
    return job.estimates.filter(events__kind=KIND.SENT).order_by("-version").first()


def accepted(job):
    """The latest version that the owner said yes to, or None."""
    return job.estimates.filter(events__kind=KIND.ACCEPTED).order_by("-version").first()


def states(job):
    """(version, where it stands) of every version, the newest first, in as many queries for one as for many."""
    written = list(job.estimates.prefetch_related("events").select_related("job"))
    sent = [version.version for version in written if any(event.kind == KIND.SENT for event in version.events.all())]
    return [(version, state(version, last_sent=max(sent, default=0))) for version in written]


def state(estimate, last_sent=None):
    """Where a version stands, in one word that people use. ``last_sent`` None looks up which was sent last."""
    happened = {event.kind for event in estimate.events.all()}
    for kind in (KIND.DECLINED, KIND.ACCEPTED):
        if kind in happened:
            return kind.value
    if last_sent is None:
        newest = latest_sent(estimate.job)
        last_sent = newest.version if newest else 0
    if last_sent > estimate.version:
        return "replaced"
    if estimate.valid_until < timezone.localdate():
        return "run out"
    for kind in (KIND.OPENED, KIND.SENT):
        if kind in happened:
            return kind.value
    return "written"


@transaction.atomic
def write(*, job, by, because="", retests=None, valid_until=None):
    """Write the next version from the job as it stands now. Raises Refused."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    workshop = Workshop.current()
    before, priced = latest(job), price(job, retests=retests)
    _check(job, workshop, before, priced, because)
    result = priced.result
    estimate = Estimate.objects.create(
        job=job,
        version=before.version + 1 if before else 1,
        workshop=workshop,
        price_book=priced.edition,
        low_aud=result.low_aud,
        likely_aud=result.likely_aud,
        high_aud=result.high_aud,
        gst_aud=result.gst_aud,
        lines=priced.lines,
        spread=list(priced.spread),
        missing=list(priced.missing),
        basis=priced.scope.basis,
        because=because,
        valid_until=valid_until or timezone.localdate() + timedelta(days=workshop.estimate_days),
        made_by=by,
    )
    record(job, by, f"{estimate} written", likely_aud=str(result.likely_aud), because=because)
    return estimate


def _check(job, workshop, before, priced, because):
    if job.done:
        raise Refused(f"{job.number} is closed; its estimate stands.")
    if workshop.pk is None:
        raise Refused("Name, address and ABN of the workshop are not entered yet: an estimate has to carry them.")
    if priced is None:
        raise Refused("The facts of the vehicle contradict each other, so nothing can be priced. Mend them first.")
    if before and not because:
        raise Refused("Say why the estimate changes: the owner reads it.")


@transaction.atomic
def send(*, estimate, by):
    """Put the version on the owner's page and post it with its PDF. Raises Refused.

    Gives whether an e-mail could be posted: without an address the owner's page is all there is.
    """
    from jobs.estimates import pdf
    from jobs.messages import letters

    job = Job.objects.select_for_update().get(pk=estimate.job_id)
    newest = latest(job)
    if newest.pk != estimate.pk:
        raise Refused(f"Version {newest.version} has replaced this one; send that.")
    if state(estimate) in ("accepted", "declined"):
        raise Refused(f"The owner has {state(estimate)} this version already.")
    if estimate.valid_until < timezone.localdate():
        raise Refused(f"This version held until {date_format(estimate.valid_until)}. Write a new one.")
    content = _paper(estimate)
    EstimateEvent.objects.create(estimate=estimate, kind=KIND.SENT, by=by)
    record(job, by, f"{estimate} sent", by_email="yes" if job.owner.email else "no, there is no address")
    return letters.send(
        job=job,
        event="variation" if accepted(job) else "estimate",
        by=by,
        attachments=[(pdf.filename(estimate), "application/pdf", content)],
        facts={
            "likely": f"${estimate.likely_aud:,.2f}",
            "low": f"${estimate.low_aud:,.2f}",
            "high": f"${estimate.high_aud:,.2f}",
            "valid_until": date_format(estimate.valid_until),
            "because": estimate.because,
        },
    )


def as_sent(estimate):
    """The bytes that went out, or None while nothing did."""
    paper = SentEstimate.objects.filter(estimate=estimate).first()
    if paper is None:
        return None
    with paper.pdf.open("rb") as file:
        return file.read()


def _paper(estimate):
    """The bytes that go out. Made once: sending again sends the same."""
    from jobs.estimates import pdf

    if content := as_sent(estimate):
        return content
    content = pdf.render(estimate)
    SentEstimate.objects.create(
        estimate=estimate, pdf=ContentFile(content, name="estimate.pdf"), sha256=hashlib.sha256(content).hexdigest()
    )
    return content
