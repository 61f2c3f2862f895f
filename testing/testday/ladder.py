"""What the runs of a day have opened so far, and what stops the climb."""

from dataclasses import replace

from testing.testday import limits
from testing.testday.models import MASSES, TestDay
from testing.testday.procedure import lane_change
from testing.testday.stale import ON_MASSES
from testing.triage.canonical import same
from vehicles.calculations.run_working import ladder_working
from vehicles.calculations.speeds import RunRecord, progress

# A driver may always start slower than the first rung, to get to know the vehicle.
SLOWER_BY_KMH = (10, 20)


def standing_runs(day):
    """The runs that speak, without those struck out, in the order driven.

    What the engineer knew of when a stop was lifted stays before that decision, whatever the clocks said.
    """
    decisions = [known for _, known in _decisions(day)]
    runs = day.runs.filter(struck=None).select_related("contests__struck", "corrects__corrects")
    return sorted(runs, key=lambda run: (sum(_place(run) not in known for known in decisions), run.when, run.number))


def _decisions(day):
    """Each decision to go on, in the order taken: its mass, and numbers of all runs that were known by then."""
    known, found = frozenset(), []
    for release in sorted(day.releases.all(), key=lambda release: (release.when, release.pk)):
        known = known | set(release.known_runs)
        found.append((release.mass, known))
    return found


def releases_at(day, mass, runs):
    """For each decision to go on at a mass, how many of the standing runs the engineer knew of."""
    return [sum(_place(run) in known for run in runs) for one, known in _decisions(day) if one == mass]


def first_writing(run):
    """Of a correction the run as it was written down first; of any other run itself."""
    return first_writing(run.corrects) if run.corrects_id else run


def _place(run):
    # A correction stands where the run that it corrects stood.
    return first_writing(run).number


def progress_of(day):
    """Where each mass stands: what is done, what opens next, and why."""
    runs = standing_runs(day)
    limit = limits.rolls(day)
    steps = (
        progress(
            ladder=day.work_up["speeds"]["ladder_kmh"],
            runs=history(day, mass, runs),
            mass=mass,
            failures_allowed=int(lane_change().limit("failures_that_stop")),
            releases=releases_at(day, mass, runs),
        )
        for mass, _ in MASSES
    )
    carried = carried_masses(day)
    driven = {run.mass for run in runs}
    steps = (_carried(step) if step.mass in carried and step.mass not in driven else step for step in steps)
    return tuple(_stopped(day, step, runs, limit) for step in steps)


def working(day, step):
    """How the speed that is open at a mass came about, for the screen."""
    runs = standing_runs(day)
    return ladder_working(
        step=step,
        ladder=day.work_up["speeds"]["ladder_kmh"],
        runs=history(day, step.mass, runs),
        failures_allowed=int(lane_change().limit("failures_that_stop")),
        numbers=[run.number for run in runs],
    )


def carried_masses(day):
    """Masses whose clean climb on the day before still stands, by the engineer's decision on the retest.

    Only the decision after the very last day speaks: on a day between, a driver may have said no.
    """
    before = TestDay.objects.filter(booking__job=day.booking.job_id, pk__lt=day.pk).select_related("retest").last()
    retest = getattr(before, "retest", None)
    # What changed after the decision carries nothing either: the two days keep the facts they were opened with.
    if retest is None or not all(same(before.inputs.get(part), day.inputs.get(part)) for part in ON_MASSES):
        return ()
    return retest.carried


def _carried(step):
    name = dict(MASSES)[step.mass]
    reason = f"{name}: clean at the target on the day before; nothing was changed since."
    return replace(step, passed=True, next_kmh=None, stopped=False, reason=reason)


def history(day, mass, runs):
    """The runs as the calculation takes them: what was driven between an alarm and its release proves nothing."""
    limit, releases, stopped, found = limits.rolls(day), releases_at(day, mass, runs), False, []
    for place, run in enumerate(runs):
        stopped = stopped and place not in releases
        record = _record(run, limit(run))
        found.append(replace(record, counts=False) if stopped and run.mass == mass else record)
        stopped = stopped or bool(_alarms_at(mass, run, limit))
    return found


def _alarms_at(mass, run, limit):
    """What on this run stops the climb at a mass: the driver's word stops both."""
    return alarms(run, limit(run)) if run.mass == mass or run.driver_stops else []


def _record(run, roll_deg):
    return RunRecord(
        mass=run.mass,
        aimed_kmh=run.aimed_kmh,
        measured_kmh=run.measured_kmh,
        # A wheel in the air or a roll beyond the set angle is no clean run, whatever the cones say.
        outcome="aborted" if run.outcome == "clean" and alarms(run, roll_deg) else run.outcome,
        counts=run.counts,
    )


def alarms(run, roll_deg):
    """What happened on this run that stops the climb at once."""
    found = []
    if run.wheel_lift:
        found.append("a wheel lifted")
    if run.roll_deg is not None and run.roll_deg > roll_deg:
        found.append(f"the body rolled {run.roll_deg:g}°, beyond the {roll_deg:g}° that are set")
    if run.driver_stops:
        found.append("the driver does not want to go on")
    if run.measured_kmh is not None and run.measured_kmh - run.aimed_kmh > lane_change().limit("overspeed_kmh"):
        found.append(f"{run.measured_kmh:g} km/h were driven with {run.aimed_kmh} km/h aimed at")
    return found


def _stopped(day, step, runs, limit):
    """The climb as the runs leave it, unless something stops it until the engineer decides."""
    if why := list(_why_stopped(day, step.mass, runs, limit)):
        reason = f"{dict(MASSES)[step.mass]}: {'; '.join(why)}; stop, the engineer decides how to go on."
        return replace(step, passed=False, stopped=True, next_kmh=None, reason=reason)
    return step


def why_stopped(day, mass):
    """Everything that stops the climb at this mass beside failures in a row, one text each."""
    return list(_why_stopped(day, mass, standing_runs(day), limits.rolls(day)))


def _why_stopped(day, mass, runs, limit):
    # Decisions may arrive in another order than they were taken: together they let go what any of them knew of.
    decisions = [release for release in day.releases.all() if release.mass == mass]
    known_runs = {number for release in decisions for number in release.known_runs}
    known_stops = {key for release in decisions for key in release.known_stops}
    for run in runs:
        if contest_is_open(day, run) and mass in (run.mass, run.contests.mass):
            yield f"run {run.number} and run {run.contests.number} are from two phones and may be the same run"
    for run in runs:
        let_go = _let_go(mass, run, limit, known_runs)
        if found := [alarm for alarm in _alarms_at(mass, run, limit) if alarm not in let_go]:
            yield f"on run {run.number} {' and '.join(found)}"
    for stop in day.stops.select_related("by"):
        if stop.pk not in known_stops:
            yield f"stopped by {stop.by.full_name}: {stop.reason.rstrip('.')}"


def _let_go(mass, run, limit, known):
    """What was known of a run when the climb was let go on; of a correction, what the run said before it."""
    if run.number in known:
        return _alarms_at(mass, run, limit)
    return _let_go(mass, run.corrects, limit, known) if run.corrects_id else []


def contested(day, run):
    """Whether this run is one of two that may be the same."""
    others = day.runs.filter(contests=run, struck=None).select_related("contests__struck")
    return contest_is_open(day, run) or any(contest_is_open(day, other) for other in others)


def contest_is_open(day, run):
    """Whether this run and another from a second phone still wait for the engineer to tell them apart."""
    if run.contests_id is None or hasattr(run.contests, "struck"):
        return False
    return not day.settlements.filter(about="contest", key=run.pk).exists()


def open_speeds(day, step):
    """Speeds that may be aimed at now, highest first: the open one and everything below it.

    With a failed speed below the ladder to repeat, nothing above that is open.
    """
    if step.next_kmh is None:
        return ()
    rungs = day.work_up["speeds"]["ladder_kmh"]
    slower = [rungs[0] - less for less in SLOWER_BY_KMH]
    speeds = {step.next_kmh, *slower, *rungs}
    return tuple(sorted((speed for speed in speeds if speed <= step.next_kmh), reverse=True))
