"""What the owner's page shows. Steps, papers and estimate come from the apps above."""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import Http404

from jobs import steps


@dataclass(frozen=True, kw_only=True)
class Paper:
    """Something that was issued and that the owner may take home."""

    key: str
    title: str
    filename: str
    open: Callable[[], object]


_papers = []
_estimates = []


def register_papers(papers):
    """`papers(job)` yields every Paper that the owner may download."""
    _papers.append(papers)


def register_estimate(estimate):
    """`estimate(job)` gives the estimate of the job, or None while there is nothing to estimate from."""
    _estimates.append(estimate)


def papers(job):
    return [paper for source in _papers for paper in source(job)]


def paper_or_404(job, key):
    for paper in papers(job):
        if paper.key == key:
            return paper
    raise Http404


def estimate_of(job):
    found = (source(job) for source in _estimates)
    return next((estimate for estimate in found if estimate), None)


def contents(job):
    current = None if job.done else steps.get(job.stage)
    lines = [
        (
            step,
            "done" if current is None or step.order < current.order else "now" if step is current else "later",
        )
        for step in steps.all_steps()
        if step.applies(job)
    ]
    return {
        "job": job,
        "lines": lines,
        "news": current and current.owner_news(job),
        "estimate": estimate_of(job),
        "papers": papers(job),
    }
