"""The desk's pages about an estimate: look, write, send, note what the owner said and what was paid."""

import uuid
from datetime import timedelta

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.estimates import changes, decisions, money, versions
from jobs.estimates.compute import price
from jobs.estimates.forms import CostForm, HeardForm, PaymentForm, VersionForm
from jobs.models import Estimate, Workshop
from jobs.views.shared import acted, job_or_404, saved, saying_why

DEAL = "jobs.deal_with_owner"


def _version(job, version):
    rows = Estimate.objects.select_related("job__vehicle", "job__owner", "workshop", "price_book", "made_by")
    return get_object_or_404(rows, job=job, version=version)


@allow("jobs.view_job")
def estimate(request, number):
    """What the job costs as it stands now, every version so far, and the money."""
    job = job_or_404(number)
    compared, against = money.compared(job), money.reference(job)
    return render(
        request,
        "jobs/estimate/estimate.html",
        {
            "job": job,
            "priced": None if job.done else price(job),
            "versions": versions.states(job),
            "changed": changes.scope_changed(job),
            "compared": compared,
            "difference": money.difference(compared),
            "reference": against,
            "actual_total": money.actual_total(job),
            "payments": job.payments.all(),
            "balance": money.balance(job, against),
            "workshop": Workshop.current(),
        },
    )


def _to_be_written(job, last):
    """The price of the next version: with the further test days that are decided, or that the last one counted."""
    priced, counted = price(job), changes.retests_in(last) if last else 0
    return price(job, retests=counted) if priced and priced.retests < counted else priced


@allow(DEAL)
def write_estimate(request, number):
    job = job_or_404(number)
    last = versions.latest(job)
    until = timezone.localdate() + timedelta(days=Workshop.current().estimate_days)
    priced = _to_be_written(job, last)
    initial = {"valid_until": until, "retests": priced.retests if priced else 0}
    form = drafts.fill(VersionForm, request, first=last is None, initial=initial)
    if written := acted(request, form, lambda said: versions.write(job=job, by=request.user, **said), at_form=True):
        text = f"Version {written.version} written."
        return saved(request, text, "jobs:estimate_version", number, written.version)
    context = {"job": job, "form": form, "priced": priced, "last": last, "changed": changes.scope_changed(job)}
    return render(request, "jobs/estimate/write.html", context)


@allow("jobs.view_job")
def estimate_version(request, number, version):
    """One version as it was written, and what happened to it."""
    job = job_or_404(number)
    written = _version(job, version)
    return render(
        request,
        "jobs/estimate/version.html",
        {
            "job": job,
            "estimate": written,
            "state": versions.state(written),
            "newest": versions.latest(job) == written,
            "events": written.events.select_related("by"),
        },
    )


@allow("jobs.view_job")
def estimate_pdf(request, number, version):
    """The paper: as it was sent, or as it would be sent."""
    from jobs.estimates import pdf

    written = _version(job_or_404(number), version)
    content = versions.as_sent(written) or pdf.render(written)
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{pdf.filename(written)}"'
    return response


@allow(DEAL)
@require_POST
def send_estimate(request, number, version):
    written = _version(job_or_404(number), version)
    with saying_why(request):
        message = versions.send(estimate=written, by=request.user)
        where = f"goes to {message.to}" if message else "stands on the owner's page; no e-mail could be posted"
        messages.success(request, f"Version {version} {where}.")
    return redirect(written)


@allow(DEAL)
def heard_decision(request, number, version):
    """Note what the owner said at the desk or on the phone."""
    job = job_or_404(number)
    written = _version(job, version)
    form = drafts.fill(HeardForm, request, initial={"name": job.owner.name})

    def note(said):
        accept = said["answer"] == "accept"
        return decisions.decide(estimate=written, accept=accept, name=said["name"], note=said["note"], by=request.user)

    if acted(request, form, note, at_form=True):
        return saved(request, "The owner's answer is noted.", "jobs:estimate_version", number, version)
    return render(request, "jobs/estimate/heard.html", {"job": job, "estimate": written, "form": form})


@allow(DEAL)
def note_payment(request, number):
    job = job_or_404(number)
    initial = {"received_on": timezone.localdate(), "sent_as": uuid.uuid4()}
    form = drafts.fill(PaymentForm, request, initial=initial)

    def note(said):
        payment = form.save(commit=False)
        payment.sent_as = said["sent_as"]
        return money.note_payment(job=job, by=request.user, payment=payment)

    if payment := acted(request, form, note, at_form=True):
        return saved(request, f"{payment.get_kind_display()} noted.", "jobs:estimate", number)
    return render(request, "jobs/estimate/payment.html", {"job": job, "form": form})


@allow(DEAL)
def note_cost(request, number):
    """What something really cost, beside the line that it belongs to."""
    job = job_or_404(number)
    against = money.reference(job)
    initial = {"sent_as": uuid.uuid4()}
    form = drafts.fill(CostForm, request, initial=initial, lines=against.lines if against else [])
    if acted(request, form, lambda said: money.note_cost(job=job, by=request.user, **said), at_form=True):
        return saved(request, "Cost noted.", "jobs:estimate", number)
    return render(request, "jobs/estimate/cost.html", {"job": job, "form": form, "reference": against})
