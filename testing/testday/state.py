"""All that a phone needs to go on without reception, as plain data."""

from testing.testday import access, ladder, limits, readiness
from testing.testday.locking import closed_because
from testing.testday.models import MASSES
from testing.testday.procedure import lane_change


def state_of(day, user):
    """Ladder, history, limits and what is in the way: the phone's own ladder starts from these."""
    runs = ladder.standing_runs(day)
    steps = {step.mass: step for step in ladder.progress_of(day)}
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
        "roll_deg": limits.roll_deg(day),
        "overspeed_kmh": lane_change().limit("overspeed_kmh"),
        "runs": _runs(day, runs),
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


def _runs(day, runs):
    """Each run as the ladder of its own mass takes it."""
    taken = {mass: ladder.history(day, mass, runs) for mass, _ in MASSES}
    return [
        {
            "mark": str(run.sent_as),
            "number": run.number,
            "mass": run.mass,
            "aimed": run.aimed_kmh,
            "measured": run.measured_kmh,
            "outcome": taken[run.mass][place].outcome,
            "counts": taken[run.mass][place].counts,
        }
        for place, run in enumerate(runs)
    ]
