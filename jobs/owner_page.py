"""What the owner's page shows. Steps, papers, what an estimate is for and mornings come from the apps above."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django.http import Http404
from django.utils import timezone

from jobs import endings, lines, steps
from jobs.estimates import money, versions
from jobs.estimates.compute import price
from jobs.estimates.scope import register as register_scope
from jobs.owners import mail, mornings

__all__ = [
    "End", "Morning", "Paper", "contents", "personal", "register_end", "register_mornings", "register_papers",
    "register_scope",
]  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Paper:
    """Something that was issued and that the owner may take home."""

    key: str
    title: str
    filename: str
    open: Callable[[], object]


@dataclass(frozen=True, kw_only=True)
class End:
    """What the owner reads of a job that is closed, by what came of it."""

    title: str
    text: str
    # Whether the paper issued last is one to rely on.
    stands: bool = False


@dataclass(frozen=True, kw_only=True)
class Morning:
    """A morning that is offered for the test, in the words that the owner reads."""

    day: date
    text: str


_papers = []
_ends = []
_mornings = []


def register_papers(papers):
    """`papers(job)` yields every Paper that the owner may download."""
    _papers.append(papers)


def register_end(end):
    """`end(job)` gives the End of a closed job, or None where the app knows of nothing that came of it."""
    _ends.append(end)


def end_of(job):
    """How a closed job ended, by what really happened; None while it is open."""
    if not job.done:
        return None
    if ending := endings.of(job):
        text = f"{endings.FOR_OWNER[ending.reason]} No certificate was issued. Do you want to go on after all? Tell us."
        return End(title="Closed without a certificate", text=text)
    found = (end for source in _ends if (end := source(job)))
    return next(found, End(title="Done", text="The file is closed."))


def register_mornings(offered):
    """`offered(job)` yields every Morning that the owner may say no to; jobs.owners.mornings has the answers."""
    _mornings.append(offered)


def papers(job):
    return [paper for source in _papers for paper in source(job)]


def paper_or_404(job, key):
    for paper in papers(job):
        if paper.key == key:
            return paper
    raise Http404


def mornings_of(job):
    """What is offered from today on, each day once; of a closed job nothing."""
    if job.done:
        return []
    found = {morning.day: morning for source in _mornings for morning in source(job)}
    return [found[day] for day in sorted(found) if day >= timezone.localdate()]


def estimate_of(job):
    """(the version sent last, or None; the job priced for a first guess while nothing was sent).

    Nothing is guessed while no modification is entered, since only those say what has to be tested, nor for a job
    that is done.
    """
    sent = versions.latest_sent(job)
    guessable = not sent and not job.done and job.vehicle.modifications.exists()
    return sent, price(job) if guessable else None


def _expected(job):
    """When the present step should be over, as words; empty where nobody can say."""
    found = lines.expected(job)
    if found is None:
        return ""
    days, until = found
    usual = f"We expect to need up to {days} day{'s' if days != 1 else ''} for this step"
    if until < timezone.localdate():
        return f"{usual}; it takes longer this time."
    return f"{usual}, so until about {until.day} {until:%B %Y}. That is expected, not promised."


def contents(job):
    """What anybody with the link reads."""
    current = None if job.done else steps.get(job.stage)
    way = [(step, state) for step, state in endings.states(job) if state != "not needed"]
    sent, guess = estimate_of(job)
    offered = mornings_of(job)
    said = mornings.answers(job)
    return {
        "job": job,
        "lines": way,
        "since": job.stage_since,
        "expected": _expected(job),
        "news": current and current.owner_news(job),
        "end": end_of(job),
        "sent": sent,
        "sent_state": sent and versions.state(sent),
        "estimate": sent or (guess and guess.result),
        "missing": guess.missing if guess else (),
        "offered": [(morning, said.get(morning.day)) for morning in offered],
        "unanswered": [morning for morning in offered if morning.day not in said],
        "papers": papers(job),
    }


def personal(job):
    """What only the owner reads, once a code has shown who is there."""
    against = versions.accepted(job) or versions.latest_sent(job)
    return {
        "payments": job.payments.all(),
        "balance": money.balance(job, against),
        "questions": job.owner_questions.all(),
        "uploads": job.owner_uploads.filter(document__set_aside_at=None).select_related("document"),
        "only_essential": mail.only_essential(job.owner),
    }
