"""Whose turn an estimate makes it: the owner's while it waits for a yes or no, the desk's once it ran out."""

from jobs.estimates import versions
from jobs.lines import end_of
from jobs.steps import DESK, OWNER, NextAct


def next_act(job):
    """For a step that should not go on without the owner's word; None when there is nothing to wait for."""
    sent = versions.latest_sent(job)
    state = sent and versions.state(sent)
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
        return NextAct(who=DESK, what=f"Version {sent.version} of the estimate ran out unanswered: ring the owner.")
    return None
