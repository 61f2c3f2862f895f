"""All that a phone needs to go on without reception, as plain data."""

from django.utils import timezone

from testing.testday import access, ladder, limits, loading, rating, readiness
from testing.testday.forms import GUST, MEASURED, ROLL, WIND
from testing.testday.locking import closed_because
from testing.testday.models import MASSES
from testing.testday.procedure import lane_change
from testing.testday.sheet_forms import AT_A_PLACE
from vehicles.calculations.ranges import VEHICLE

_RANGES = {
    "wind_mps": WIND,
    "gust_mps": GUST,
    "measured_kmh": MEASURED,
    "roll_deg": ROLL,
    "place": AT_A_PLACE,
    "front_kg": VEHICLE["front_axle_kg"],
    "rear_kg": VEHICLE["rear_axle_kg"],
}


def state_of(day, user):
    """Ladder, history, limits and what is in the way: the phone's own ladder starts from these."""
    runs = ladder.standing_runs(day)
    return {
        "at": timezone.now().isoformat(),
        "day": day.pk,
        "user": user.pk,
        "name": user.full_name,
        "date": day.booking.day.isoformat(),
        "zone": day.booking.site.time_zone,
        "closed": closed_because(day),
        "may_record": access.may_record(user, day),
        "may_sign": access.is_driver(user, day),
        "may_release": user.has_perm("testing.run_test_day"),
        "contested": any(ladder.contest_is_open(day, run) for run in runs),
        **_rules(day),
        "runs": _runs(day, runs),
        # Struck runs as well: what the sheet has once taken is no news when a phone sends it again.
        "marks": [str(mark) for mark in day.runs.values_list("sent_as", flat=True)],
        "stops": [str(mark) for mark in day.stops.values_list("sent_as", flat=True)],
        "wind_before": _wind_before(runs),
        "masses": _masses(day, runs),
    }


def _rules(day):
    """What entries are judged by on the phone."""
    return {
        "ladder": day.work_up["speeds"]["ladder_kmh"],
        "slower": list(ladder.SLOWER_BY_KMH),
        "failures": int(lane_change().limit("failures_that_stop")),
        "wind_mps": limits.wind_mps(day),
        "gust_mps": limits.gust_mps(day),
        "roll_deg": limits.roll_deg(day),
        "overspeed_kmh": lane_change().limit("overspeed_kmh"),
        "ranges": {name: [row.low, row.high, row.unit] for name, row in _RANGES.items()},
        "driver": day.booking.driver.name,
        "aspects": [[aspect.key, aspect.text] for aspect in lane_change().aspects],
        "rating_words": rating.WORDS,
        "poor": rating.POOR,
    }


def _masses(day, runs):
    steps = {step.mass: step for step in ladder.progress_of(day)}
    return [
        {
            "mass": mass,
            "name": name,
            "kg": day.work_up["masses"][f"{mass}_kg"],
            "load": _load(day, mass),
            "next": steps[mass].next_kmh,
            "passed": steps[mass].passed,
            "stopped": steps[mass].stopped,
            "reason": steps[mass].reason,
            "waits": [{"key": item.key, "text": item.text} for item in readiness.waits_for(day, mass=mass)],
            "cautions": list(steps[mass].cautions),
            "releases": ladder.releases_at(day, mass, runs),
        }
        for mass, name in MASSES
    ]


def _load(day, mass):
    """What a loading of this mass is judged by [kg]."""
    target, lowest, highest = loading.limits(day, mass)
    plan = loading.plan(day, mass)
    return {
        "lowest": lowest,
        "highest": highest,
        "empty": target - sum(item.kg for item in plan),
        "plan": [[item.key, item.title.lower(), item.kg] for item in plan],
        "give": lane_change().limit("place_kg"),
        "ratings": loading.ratings(day),
        "axles": loading.computed_axles(day, mass),
    }


def _wind_before(runs):
    """What was measured last: offered again, never taken by itself."""
    known = [run for run in runs if run.wind_mps is not None]
    if not known:
        return None
    last = max(known, key=lambda run: run.when)
    return {
        "wind_mps": f"{last.wind_mps:g}",
        "gust_mps": "" if last.gust_mps is None else f"{last.gust_mps:g}",
        "surface": last.surface,
        "at": last.when.isoformat(),
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
