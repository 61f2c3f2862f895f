"""News for the owner when a job goes a step further. Told from the audit trail, inside the same transaction."""

from jobs import endings, steps
from jobs.messages import letters


def tell(sender, instance, created, **kwargs):
    """A trail entry that says which step was left and which was entered is what the owner hears of."""
    left, entered = instance.details.get("left"), instance.details.get("entered")
    if not created or not left or not entered:
        return
    job = instance.job
    if entered == steps.DONE and "without_certificate" in instance.details:
        letters.send(job=job, event="closed_without", facts={"why": endings.FOR_OWNER[endings.of(job).reason]})
        return
    if entered == steps.DONE:
        letters.send(job=job, event="certificate_issued", key=f"certificate-issued-{job.pk}")
        return
    step = steps.get(entered)
    if left == steps.DONE or step.order > steps.get(left).order:
        facts = {"step": step.owner_title, "next": step.owner_news(job).next}
        letters.send(job=job, event="step_reached", facts=facts)
