"""The second step: triage."""

from django.urls import reverse

from jobs.steps import Blocker, OwnerNews, Step
from testing.triage import decision


def blockers(job):
    url = reverse("testing:triage", args=[job.number])
    signed = decision.signed(job)
    if signed is None:
        yield Blocker(text="The triage is not signed yet.", url=url)
    elif decision.is_stale(job):
        yield Blocker(text="Facts or rules changed since the triage was signed: it needs a new signature.", url=url)
    elif decision.need(job, "REDUCTION") == "required":
        yield Blocker(text="By the signed triage it cannot be certified as it is: change it back.", url=url)


def context(job):
    triage = decision.triage_of(job)
    signed = decision.signed(job)
    return {
        "triage": triage,
        "signed": signed,
        "stale": bool(signed and decision.differences(job, signed, triage)),
    }


def owner_news(job):
    return OwnerNews(
        next="The engineer decides which tests and reports your vehicle needs.",
        asks=("Have photos, receipts and kit approvals ready in case the engineer asks for them.",),
    )


STEP = Step(
    key="triage",
    order=2,
    title="Triage",
    owner_title="Deciding what is needed",
    who="Engineer",
    permission="testing.sign_triage",
    move_on_label="Go on from triage",
    template="testing/triage/_panel.html",
    blockers=blockers,
    context=context,
    owner_news=owner_news,
)
