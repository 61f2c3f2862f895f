"""The job book as asked for: who must act, at which step, late or not, found by words."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import Count, Q
from django.utils import timezone

from jobs import steps
from jobs.models import BookLine
from jobs.models.line import CLOSED, RANKS, WHO
from jobs.search_text import words_of


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What the address of the page asks for. What makes no sense in it is left out."""

    q: str = ""
    who: str = ""
    step: str = ""
    late: bool = False
    closed: bool = False

    @classmethod
    def of(cls, query):
        who, step = query.get("who", ""), query.get("step", "")
        return cls(
            q=query.get("q", "").replace("\x00", "").strip()[:100],
            who=who if who in RANKS else "",
            step=step if step in [s.key for s in steps.all_steps()] else "",
            late=query.get("late") == "1",
            closed=query.get("closed") == "1",
        )

    @property
    def told(self):
        """What is asked for, by the names it has in an address."""
        asked = {"q": self.q, "who": self.who, "step": self.step, "late": self.late, "closed": self.closed}
        return {key: "1" if value is True else value for key, value in asked.items() if value}

    @property
    def query(self):
        return urlencode(self.told)

    @property
    def narrowed(self):
        return bool(self.who or self.step or self.late)


def lines(asked):
    """The lines in the order of who must act and by when; closed jobs latest first."""
    found = _found(asked)
    if asked.closed:
        return found.filter(actor=CLOSED).select_related("job__ending").order_by("-job_id")
    if asked.who:
        found = found.filter(actor=RANKS[asked.who])
    if asked.step:
        found = found.filter(job__stage=asked.step)
    if asked.late:
        found = found.filter(due_at__lt=timezone.now())
    return found.filter(actor__lt=CLOSED).order_by("actor", "due_at", "job_id")


def _found(asked):
    found = BookLine.objects.select_related("job__vehicle", "job__owner")
    for word in words_of(asked.q):
        found = found.filter(search__contains=word)
    return found


def counts():
    """How many open jobs wait for each, and how many of them are late; in the order of the book."""
    late = Count("pk", filter=Q(due_at__lt=timezone.now()))
    opened = BookLine.objects.filter(actor__lt=CLOSED).order_by("actor")
    rows = opened.values("actor").annotate(n=Count("pk"), late=late)
    return [{"who": WHO[row["actor"]], "n": row["n"], "late": row["late"]} for row in rows]
