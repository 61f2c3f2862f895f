"""The limits of the day: wind, gust, roll. Data of the procedure, unless the day has its own."""

from django.db import transaction

from jobs.audit import record
from testing.testday.locking import locked_open
from testing.testday.models import RollLimit
from testing.testday.procedure import lane_change


def wind_mps(day):
    return day.work_up["limits"]["wind_mps"]


def gust_mps(day):
    """The edition of the rules may set a gust limit; else that of the procedure."""
    return day.work_up["limits"].get("gust_mps") or lane_change().limit("gust_mps")


def roll_deg(day):
    """As the engineer set it last, else as the procedure has it."""
    own = day.roll_limits.last()
    return own.angle_deg if own else lane_change().limit("roll_deg")


def rolls(day):
    """A function that says by which angle a run is judged: the one it was driven under, or a lower one set since.

    An angle that is raised later makes no run clean that stopped the climb.
    """
    kept = list(day.roll_limits.all())
    usual = lane_change().limit("roll_deg")

    def limit(run):
        before = [one.angle_deg for one in kept if one.at <= run.when]
        since = [one.angle_deg for one in kept if one.at > run.when]
        return min([before[-1] if before else usual, *since])

    return limit


@transaction.atomic
def set_roll(*, day, by, angle_deg, reason):
    """The engineer sets the angle beyond which the climb stops. A lower one judges the runs before it as well."""
    day = locked_open(day)
    limit = RollLimit.objects.create(day=day, angle_deg=angle_deg, reason=reason, by=by)
    record(day.booking.job, by, f"Roll limit set to {angle_deg:g}°", reason=reason)
    return limit
