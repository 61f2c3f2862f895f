"""The parts of the report that the signatory writes in their own words."""

from django.db import transaction

from certificates.models import Words
from certificates.models.words import PARTS
from jobs.audit import record
from jobs.models import Job
from jobs.services import FileClosed


def of(job):
    """Text by part; a part that nobody wrote is empty."""
    kept = {row.part: row.text for row in Words.objects.filter(job=job)}
    return {part: kept.get(part, "") for part, _ in PARTS}


def written(job):
    """The parts that were written, in their order, as the record keeps them."""
    kept = of(job)
    return [{"part": part, "title": title, "text": kept[part]} for part, title in PARTS if kept[part]]


@transaction.atomic
def write(*, job, by, texts):
    """Store the texts; the trail keeps what each one was before."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.done:
        raise FileClosed(job)
    before = of(job)
    changed = {part: text for part, text in texts.items() if text != before[part]}
    for part, text in changed.items():
        Words.objects.update_or_create(job=job, part=part, defaults={"text": text, "by": by})
    if changed:
        record(job, by, "Words of the report saved", before={part: before[part] for part in changed})
