"""The figures that the files of the jobs themselves give: time at each step, and estimate against actual."""

from collections import Counter, defaultdict

from django.db.models import OuterRef, Subquery, Sum

from jobs import steps
from jobs.models import AuditEntry, Cost, Ending, Estimate, EstimateEvent, Job
from jobs.overview.figures import Bar, Figure, median, nine_tenths

DAY_S = 86_400


def turnaround(period):
    """Days that jobs spent at each step, for every step left within the period."""
    spent = _days_at_steps(period)
    return Figure(
        title="Turnaround by step",
        unit="days",
        meaning="Days from entering a step to leaving it, half of the jobs taking no longer; every step left in "
        "the period counts, also after a job was sent back.",
        bars=tuple(
            Bar(
                label=step.title,
                value=_rounded(median(spent[step.key])),
                count=len(spent[step.key]),
                remark=f"nine tenths within {_days(nine_tenths(spent[step.key]))}" if spent[step.key] else "",
            )
            for step in steps.all_steps()
        ),
    )


def _days(value):
    return f"{value:.1f} days" if value >= 0.1 else "a tenth of a day"


def _rounded(value):
    return None if value is None else round(value, 2)


def _days_at_steps(period):
    moves = AuditEntry.objects.filter(details__has_key="entered", at__lt=period.ends)
    within = moves.filter(at__gte=period.begins).values("job_id")
    rows = moves.filter(job_id__in=within).order_by("job_id", "pk").values_list("job_id", "at", "details")
    began = dict(Job.objects.filter(pk__in=within).values_list("pk", "created_at"))
    spent = defaultdict(list)
    for job, at, details in rows.iterator(chunk_size=2000):
        if at >= period.begins:
            spent[details["left"]].append((at - began[job]).total_seconds() / DAY_S)
        began[job] = at
    return spent


def estimate_against_actual(period):
    """Where the costs of jobs closed within the period came out against their accepted estimates."""
    rows = list(_closed(period))
    bands = (
        ("At or under the likely total", [row for row in rows if row.spent <= row.likely]),
        ("Over it, within the high total", [row for row in rows if row.likely < row.spent <= row.high]),
        ("Over the high total", [row for row in rows if row.spent > row.high]),
    )
    return Figure(
        title="Estimate against actual",
        unit="% of jobs",
        meaning="Jobs closed with a certificate in the period that have an accepted estimate and costs noted: where "
        "the costs came out.",
        bars=tuple(_band(label, found, len(rows)) for label, found in bands),
    )


def _band(label, found, of):
    over = sum(row.spent - row.likely for row in found)
    return Bar(
        label=label,
        value=round(100 * len(found) / of, 1) if of else None,
        count=len(found),
        remark=f"{over:+,.2f} AUD against likely, together" if found else "",
    )


def _closed(period):
    costs = Cost.objects.filter(job=OuterRef("pk")).values("job").annotate(total=Sum("amount_aud")).values("total")
    accepted = Estimate.objects.filter(job=OuterRef("pk"), events__kind=EstimateEvent.Kind.ACCEPTED)
    accepted = accepted.order_by("-version")
    return (
        Job.objects.filter(ending=None, stage=steps.DONE, stage_since__gte=period.begins, stage_since__lt=period.ends)
        .annotate(
            spent=Subquery(costs),
            likely=Subquery(accepted.values("likely_aud")[:1]),
            high=Subquery(accepted.values("high_aud")[:1]),
        )
        .filter(spent__isnull=False, likely__isnull=False)
    )


def endings(period):
    """What came of the jobs that were closed within the period."""
    closed = Job.objects.filter(stage=steps.DONE, stage_since__gte=period.begins, stage_since__lt=period.ends)
    counted = Counter(closed.values_list("ending__reason", flat=True))
    total = sum(counted.values())
    kinds = [(None, "With a certificate"), *Ending.Reason.choices]
    return Figure(
        title="What came of closed jobs",
        unit="% of jobs",
        meaning="Jobs closed in the period and not opened again: with a certificate, or without one and why.",
        bars=tuple(
            Bar(label=label, value=round(100 * counted[key] / total, 1) if total else None, count=counted[key])
            for key, label in kinds
        ),
    )
