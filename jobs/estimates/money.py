"""Money noted, not handled: what came in, what things really cost, and how that compares."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from jobs.audit import record
from jobs.estimates.versions import accepted, latest
from jobs.models import Cost, Job, Payment

OTHER = "other"
NIL = Decimal("0.00")


@dataclass(frozen=True, kw_only=True)
class Compared:
    """One line: what was estimated and what it came to."""

    label: str
    estimated: Decimal | None
    actual: Decimal | None

    @property
    def over(self):
        return None if self.actual is None else self.actual - (self.estimated or NIL)


def payments_total(job):
    """What has come in, less what was paid back."""
    return sum((-p.amount_aud if p.kind == Payment.Kind.REFUND else p.amount_aud for p in job.payments.all()), NIL)


def reference(job):
    """The version that actuals are held against: the accepted one, else the latest."""
    return accepted(job) or latest(job)


def compared(job):
    """Estimate against actual, line by line; costs of no line come last."""
    estimate = reference(job)
    spent = {}
    for cost in job.costs.all():
        spent[cost.line] = spent.get(cost.line, NIL) + cost.amount_aud
    rows = [
        Compared(label=line["label"], estimated=Decimal(line["likely"]), actual=spent.pop(line["key"], None))
        for line in (estimate.lines if estimate else ())
    ]
    if spent:
        rows.append(Compared(label="Not in the estimate", estimated=None, actual=sum(spent.values(), NIL)))
    return rows


def actual_total(job):
    return sum((cost.amount_aud for cost in job.costs.all()), NIL)


@transaction.atomic
def note_payment(*, job, by, payment):
    job = Job.objects.select_for_update().get(pk=job.pk)
    payment.job, payment.by = job, by
    payment.save()
    record(job, by, f"{payment.get_kind_display()} noted: ${payment.amount_aud}", how=payment.get_how_display())
    return payment


@transaction.atomic
def note_cost(*, job, by, line, amount_aud, note=""):
    """A wrong entry is set right by one with the opposite sign."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    cost = Cost.objects.create(job=job, by=by, line=line, amount_aud=amount_aud, note=note)
    record(job, by, f"Cost noted: {line} ${amount_aud}", note=note)
    return cost
