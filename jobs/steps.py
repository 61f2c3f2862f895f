"""The five steps of a job. Each app registers its own; this app knows none of them by name.

A step says what stands in the way of leaving it (`blockers`), what its panel on the job's page
shows (`template`, `context`) and what the owner should hear (`owner_news`).
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

DONE = "done"

# Who can be the one that a job waits for, in the order of the job book.
DESK, ENGINEER, OWNER, WEATHER, THIRD_PARTY = "desk", "engineer", "owner", "weather", "third party"
ACTORS = (DESK, ENGINEER, OWNER, WEATHER, THIRD_PARTY)


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
class NextAct:
    """Who must act next on a job, what they must do and by when.

    ``due`` left out: the days that the step allows. ``look_again``: when the answer may have
    changed although nobody touched the job, as a forecast does.
    """

    who: str
    what: str
    due: datetime | None = None
    because: str = ""
    look_again: datetime | None = None


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
    actor: str = ENGINEER
    # A habit of the house, no published source: how long a job may rest here before it is late.
    days: int = 3
    # None: whoever has the step, with what stands first in the way.
    next_act: Callable[[object], NextAct] | None = None

    def usual_act(self, job):
        """The first thing in the way of leaving the step; with none, leaving it."""
        first = next(iter(self.blockers(job)), None)
        return NextAct(who=self.actor, what=first.text if first else f"{self.move_on_label}.")


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
