"""What a job's page shows of the owner's side: what waits for the desk, and the way there."""

from django import template

from jobs.estimates import changes, versions
from jobs.messages.bounces import in_trouble
from jobs.owners import unheard

register = template.Library()


@register.simple_tag
def owner_words(job):
    """What the owner said on their page and nobody has noted yet."""
    return unheard.words_of(job)


@register.simple_tag
def owner_side(job):
    """Sentences about what waits: (text, name of the page to go to)."""
    waiting = []
    if questions := job.owner_questions.filter(answered_at=None).count():
        waiting.append((f"{questions} question{'s' * (questions > 1)} of the owner not answered.", "jobs:owner_side"))
    if failed := in_trouble(job):
        waiting.append((f"{failed} message{'s' * (failed > 1)} did not arrive.", "jobs:job_messages"))
    sent = versions.latest_sent(job)
    if sent and (state := versions.state(sent)) in ("declined", "run out"):
        words = "was declined" if state == "declined" else "ran out unanswered"
        waiting.append((f"The estimate {words}.", "jobs:estimate"))
    if sent and not job.done and changes.scope_changed(job):
        waiting.append(("What the owner accepted no longer covers the job.", "jobs:estimate"))
    return waiting
