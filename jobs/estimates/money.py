"""Money noted, not handled: what came in, what things really cost, and how that compares."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from jobs.audit import record
from jobs.estimates.versions import accepted, latest
from jobs.models import Cost, Job, Payment
from jobs.refused import Refused

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


@dataclass(frozen=True, kw_only=True)
class Balance:
    """What is still to be paid, below nought when too much came in, and what that is reckoned by."""

    paid: Decimal
    to_pay: Decimal | None
    reckoned_by: str

    @property
    def too_much(self):
        return -self.to_pay if self.to_pay is not None and self.to_pay < 0 else None


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


def difference(rows):
    """How far what is noted lies from what was estimated for it; None while nothing is noted."""
    noted = [row.over for row in rows if row.over is not None]
    return sum(noted, NIL) if noted else None


def balance(job, against):
    """By what it came to once every line has its cost, before that by the likely total of that version."""
    paid = payments_total(job)
    if against is None:
        return Balance(paid=paid, to_pay=None, reckoned_by="")
    noted = {cost.line for cost in job.costs.all()}
    if all(line["key"] in noted for line in against.lines):
        return Balance(paid=paid, to_pay=actual_total(job) - paid, reckoned_by="what it came to")
    return Balance(
        paid=paid,
        to_pay=against.likely_aud - paid,
        reckoned_by=f"the likely total of version {against.version}",
    )


@transaction.atomic
def note_payment(*, job, by, payment):
    """Keep a payment; the same form sent again gives the one that was kept. Raises Refused."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    names = ("job_id", "kind", "how", "amount_aud", "received_on", "reference")
    payment.job, payment.by = job, by
    if before := _sent_before(payment, names):
        return before
    payment.save()
    record(job, by, f"{payment.get_kind_display()} noted: ${payment.amount_aud}", how=payment.get_how_display())
    return payment


@transaction.atomic
def note_cost(*, job, by, line, amount_aud, note="", sent_as=None):
    """A wrong entry is set right by one with the opposite sign. Raises Refused."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    cost = Cost(job=job, by=by, line=line, amount_aud=amount_aud, note=note, sent_as=sent_as)
    if before := _sent_before(cost, ("job_id", "line", "amount_aud", "note")):
        return before
    cost.save()
    record(job, by, f"Cost noted: {line} ${amount_aud}", note=note)
    return cost


def _sent_before(row, names):
    """The row that came with the same form, when it says the same; another entry needs a form of its own."""
    before = row.sent_as and type(row).objects.filter(sent_as=row.sent_as).first()
    if before and any(getattr(before, name) != getattr(row, name) for name in names):
        raise Refused(f"This page was sent before and ${before.amount_aud:,.2f} is noted. Open it anew to note more.")
    return before
