"""The last step: certifying."""

from django.template.defaultfilters import pluralize
from django.urls import reverse

from certificates import meeting
from jobs.steps import Blocker, OwnerNews, Step


def _certificates(job):
    """Every certificate of the job, the standing one first."""
    return list(job.certificates.order_by("-position").select_related("line"))


def _open_lines(job):
    return sum(line.open for line in meeting.lines(job))


def blockers(job):
    """The step is left by issuing, never by pressing on."""
    # Asked of the database: the job at hand may have been read before the certificate was issued.
    from certificates.models import Certificate

    if not Certificate.objects.filter(job_id=job.pk).exists():
        if still := _open_lines(job):
            yield Blocker(
                text=f"Say what meets the requirements: {still} {pluralize(still, 'line is,lines are')} open.",
                url=reverse("certificates:requirements", args=[job.number]),
            )
        yield Blocker(
            text="No certificate is issued yet: review the report, then sign.",
            url=reverse("certificates:issue", args=[job.number]),
        )


def owner_news(job):
    return OwnerNews(next="The engineer reviews the record and signs. Then the certificate is here to take home.")


STEP = Step(
    key="certification",
    order=5,
    title="Certify",
    owner_title="Certificate",
    who="Engineer",
    permission="certificates.issue",
    move_on_label="Close the file",
    template="certificates/_panel.html",
    blockers=blockers,
    owner_news=owner_news,
    context=lambda job: {"certificates": _certificates(job), "open_lines": _open_lines(job)},
)
