"""All that a phone needs to go on without reception, as plain data."""

from testing.testday import access, ladder, limits, readiness
from testing.testday.locking import closed_because
from testing.testday.models import MASSES
from testing.testday.procedure import lane_change


def state_of(day, user):
    """Ladder, history, limits and what is in the way: the phone's own ladder starts from these."""
    runs = ladder.standing_runs(day)
    steps = {step.mass: step for step in ladder.progress_of(day)}
    roll_deg, limit = limits.roll_deg(day), limits.rolls(day)
    return {
        "day": day.pk,
        "user": user.pk,
        "name": user.full_name,
        "date": day.booking.day.isoformat(),
        "zone": day.booking.site.time_zone,
        "closed": closed_because(day),
        "may_record": access.may_record(user, day),
        "may_sign": access.is_driver(user, day),
        "ladder": day.work_up["speeds"]["ladder_kmh"],
        "slower": list(ladder.SLOWER_BY_KMH),
        "failures": int(lane_change().limit("failures_that_stop")),
        "wind_mps": limits.wind_mps(day),
        "gust_mps": limits.gust_mps(day),
        "roll_deg": roll_deg,
        "runs": [_run(run, limit(run)) for run in runs],
        "masses": [
            {
                "mass": mass,
                "name": name,
                "kg": day.work_up["masses"][f"{mass}_kg"],
                "next": steps[mass].next_kmh,
                "passed": steps[mass].passed,
                "stopped": steps[mass].stopped,
                "reason": steps[mass].reason,
                "waits": [{"key": item.key, "text": item.text} for item in readiness.waits_for(day, mass=mass)],
                "cautions": list(steps[mass].cautions),
                "releases": ladder.releases_at(day, mass, runs),
            }
            for mass, name in MASSES
        ],
    }


def _run(run, roll_deg):
    alarmed = run.outcome == "clean" and ladder.alarms(run, roll_deg)
    return {
        "mark": str(run.sent_as),
        "number": run.number,
        "mass": run.mass,
        "aimed": run.aimed_kmh,
        "measured": run.measured_kmh,
        "outcome": "aborted" if alarmed else run.outcome,
        "counts": run.counts,
    }
