"""Whose turn an estimate makes it: the owner's while it waits for a yes or no, else the desk's to settle it."""

from datetime import timedelta

from jobs.estimates import changes, versions
from jobs.lines import end_of
from jobs.models import EstimateEvent
from jobs.owners.unheard import TAKEN_UP_WITHIN
from jobs.steps import DESK, OWNER, NextAct


def next_act(job):
    """What has to come before any step goes on; None when there is nothing to wait for."""
    sent = versions.latest_sent(job)
    if sent is None:
        return None
    state = versions.state(sent)
    if state in ("sent", "opened"):
        due = end_of(sent.valid_until)
        return NextAct(
            who=OWNER,
            what=f"Says yes or no to version {sent.version} of the estimate.",
            due=due,
            because="the estimate holds until then",
            look_again=due,
        )
    if state == "run out":
        return NextAct(
            who=DESK,
            what=f"Version {sent.version} of the estimate ran out unanswered: ring the owner.",
            due=end_of(sent.valid_until + timedelta(days=1)),
            because="it held until the day before",
        )
    return _declined(sent) if state == "declined" else _outgrown(job, sent)


def _declined(sent):
    said = sent.events.get(kind=EstimateEvent.Kind.DECLINED)
    return NextAct(
        who=DESK,
        what=f"The owner declined version {sent.version} of the estimate: settle it, and write another.",
        due=said.at + TAKEN_UP_WITHIN,
        because="an owner is answered within a day",
    )


def _outgrown(job, agreed):
    """The owner said yes to something else than what the job has become."""
    if not changes.scope_changed(job):
        return None
    newest = versions.latest(job)
    do = "write a variation and ask again" if newest == agreed else f"send version {newest.version}"
    return NextAct(who=DESK, what=f"What the owner accepted no longer covers the job: {do}.")
