"""The lines of the job book: worked out from the file of a job whenever it was touched."""

import logging
from dataclasses import replace
from datetime import datetime, time, timedelta

from django.db import transaction
from django.utils import timezone

from jobs import steps
from jobs.models import BookLine, Job, Workshop
from jobs.models.line import CLOSED, RANKS
from jobs.owners import unheard
from jobs.search_text import text_of

# A page of the book never waits for more lines than these: each costs some twenty queries. The rest are worked out
# by `planner_watch`, every quarter of an hour, or by the next pages.
MOST_AT_ONCE = 4
_before_steps = []
log = logging.getLogger(__name__)


def register_before_steps(next_act):
    """`next_act(job)` says what has to be settled before any step goes on, or None."""
    _before_steps.append(next_act)


def touched(job):
    """Called inside the transaction of every act on a job: its line is worked out anew when that is done."""
    BookLine.objects.filter(job_id=job.pk).update(look_again_at=timezone.now())
    transaction.on_commit(lambda: work_out(job.pk), robust=True)


def touched_all(jobs):
    """The same for many jobs at once, for instance all that wait for weather when a forecast came in."""
    BookLine.objects.filter(job__in=jobs).update(look_again_at=timezone.now())


def catch_up():
    """Work out the lines that are due for it, longest waiting first."""
    now = timezone.now()
    due = BookLine.objects.filter(look_again_at__lte=now).order_by("look_again_at", "pk")
    for pk in list(due.values_list("pk", flat=True)[:MOST_AT_ONCE]):
        work_out(pk)


def catch_up_all():
    """The same to the end, for whoever has the time: a new forecast turns the lines of many jobs."""
    now = timezone.now()
    due = list(BookLine.objects.filter(look_again_at__lte=now).values_list("pk", flat=True))
    for pk in due:
        work_out(pk)
    return len(due)


def of(job):
    """The line of one job as it stands now."""
    line = BookLine.objects.get(job_id=job.pk)
    if line.look_again_at and line.look_again_at <= timezone.now():
        work_out(job.pk)
        line.refresh_from_db()
    return line


@transaction.atomic
def work_out(pk):
    """Write the line of one job. The line is locked first, so the latest state wins."""
    line = BookLine.objects.select_for_update().filter(pk=pk).first()
    if line is None:
        return
    job = Job.objects.select_related("vehicle", "owner", "waiting").get(pk=pk)
    act = unheard.next_act(job) or (steps.NextAct(who="", what="") if job.done else _act(job))
    line.actor = RANKS.get(act.who, CLOSED)
    line.act, line.because = act.what[:240], act.because[:160]
    line.due_at = act.due or job.stage_since
    if not act.due and not job.done:
        step = steps.get(job.stage)
        days = Workshop.current().days_at(step)
        line.due_at = job.stage_since + timedelta(days=days)
        line.because = f"{step.title} may take {days} day{'s' if days != 1 else ''}"
    line.look_again_at, line.search = act.look_again, text_of(job)
    line.save()


def expected(job):
    """(days that the present step may take, the day when they are over), or None where nobody can say.

    That is so while the job waits for the owner, the weather or others, and when what comes next has a day of its own.
    """
    if job.done or getattr(job, "waiting", None):
        return None
    step = steps.get(job.stage)
    try:
        with transaction.atomic():
            if _before_any_step(job):
                return None
            act = _steps_act(step, job)
    except Exception:
        log.exception("What is expected of %s could not be worked out", job.number)
        return None
    if act.due or act.look_again or act.who not in (steps.DESK, steps.ENGINEER):
        return None
    days = Workshop.current().days_at(step)
    return days, timezone.localdate(job.stage_since + timedelta(days=days))


def _act(job):
    waiting = getattr(job, "waiting", None)
    if waiting:
        return steps.NextAct(
            who=waiting.who, what=waiting.what, due=end_of(waiting.until), because="as agreed when it was set to wait"
        )
    step = steps.get(job.stage)
    try:
        # A savepoint: a step that fails must not spoil the transaction of the line.
        with transaction.atomic():
            return _sooner(_before_any_step(job), _steps_act(step, job))
    except Exception:
        log.exception("The next act of %s could not be worked out", job.number)
        hour = timezone.now() + timedelta(hours=1)
        return steps.NextAct(who=step.actor, what="Open the job: its next act is not clear.", look_again=hour)


def _steps_act(step, job):
    return (step.next_act or step.usual_act)(job)


def _before_any_step(job):
    return next(filter(None, (next_act(job) for next_act in _before_steps)), None)


def _sooner(unsettled, of_step):
    """What is not settled comes before the step, unless the step has a day that comes first: a booked morning.

    What the desk has to settle is not put off by that morning, it is due before it.
    """
    if unsettled is None:
        return of_step
    if not of_step.due or (unsettled.due and unsettled.due <= of_step.due):
        return unsettled
    if unsettled.who == steps.DESK:
        return replace(unsettled, due=of_step.due, because=of_step.because)
    return of_step


def end_of(day):
    """The last minute of a day on the clock of the workshop."""
    return timezone.make_aware(datetime.combine(day, time(23, 59)))
