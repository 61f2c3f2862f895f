"""The five steps of a job. Each app registers its own; this app knows none of them by name.

A step says what stands in the way of leaving it (`blockers`), what its panel on the job's page
shows (`template`, `context`) and what the owner should hear (`owner_news`).
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

DONE = "done"


@dataclass(frozen=True, kw_only=True)
class Blocker:
    """One reason why a job cannot move on, and the page where it can be mended."""

    text: str
    url: str = ""


@dataclass(frozen=True, kw_only=True)
class OwnerNews:
    """What the owner's page says while the job stands at this step, in plain words."""

    next: str
    asks: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Step:
    key: str
    order: int
    title: str
    owner_title: str
    who: str
    permission: str
    move_on_label: str
    template: str
    blockers: Callable[[object], Iterable[Blocker]]
    owner_news: Callable[[object], OwnerNews]
    context: Callable[[object], dict] = lambda job: {}
    applies: Callable[[object], bool] = lambda job: True


_steps: dict[str, Step] = {}


def register(step):
    """Make a step known; called once by each app when it is ready."""
    _steps[step.key] = step


def all_steps():
    return sorted(_steps.values(), key=lambda step: step.order)


def get(key):
    return _steps[key]


def after(step, job):
    """The key of the next step that this job needs, or DONE."""
    later = (s for s in all_steps() if s.order > step.order and s.applies(job))
    return next((s.key for s in later), DONE)
