"""Several vehicles in one hire: in which order, and what happens when."""

from dataclasses import dataclass
from datetime import UTC, timedelta
from itertools import pairwise, permutations
from math import ceil, hypot

from testing.scheduling.gear import ballast_needed_kg
from testing.scheduling.habits import habits
from testing.scheduling.slots import GRID_MINUTES


def later(start, minutes):
    """So many minutes after a moment, on its own clock, right across a change of the clocks."""
    return (start.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(start.tzinfo)


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One vehicle of the day."""

    job: object
    asked: object

    @property
    def ballast_kg(self):
        return ballast_needed_kg(self.asked.masses) if self.asked.masses else None


@dataclass(frozen=True, kw_only=True)
class Act:
    """One act of the day: what, how long, for which job (None: for the day as a whole)."""

    what: str
    minutes: float
    job: object = None


@dataclass(frozen=True, kw_only=True)
class Part:
    """What one vehicle takes of the hire: its acts, and its time on the grid of bookings, in minutes."""

    entry: Entry
    acts: tuple[Act, ...]
    from_min: int
    to_min: int


@dataclass(frozen=True, kw_only=True)
class OrderOfDay:
    """The vehicles in their order. ``saved_cones``: fewer cones carried than in the order asked for."""

    parts: tuple[Part, ...]
    cones_moved: int
    saved_cones: int

    @property
    def minutes(self):
        return self.parts[-1].to_min

    @property
    def hours(self):
        return self.minutes / 60

    def timed(self, start):
        """Each act with its times on the clock of the start, as plain data."""
        lines = []
        for part in self.parts:
            at = part.from_min
            for act in part.acts:
                lines.append(
                    {
                        "from": f"{later(start, round(at)):%H:%M}",
                        "to": f"{later(start, round(at + act.minutes)):%H:%M}",
                        "what": act.what,
                        "job": act.job.number if act.job else "",
                    }
                )
                at += act.minutes
        return lines


def cones_between(one, other):
    """Cones that stand elsewhere for the second course, and how far they are carried in all [m]."""
    same_m = habits()["course"]["same_place_m"]
    pairs = zip(one.cones, other.cones, strict=True)
    far = [hypot(a.x_m - b.x_m, a.y_m - b.y_m) for a, b in pairs]
    return sum(d > same_m for d in far), sum(d for d in far if d > same_m)


def pack(entries):
    """The order that moves the fewest cones, then carries them least, and its times.

    Raises ValueError for a vehicle whose course or speeds are not known, or more than can be planned.
    """
    most = habits()["course"]["most_vehicles"]
    if not 0 < len(entries) <= most:
        raise ValueError(f"1 to {most} vehicles fit one plan, not {len(entries)}")
    for entry in entries:
        if entry.asked.why_not:
            raise ValueError(f"{entry.job.number}: {entry.asked.why_not}")
    effort = {
        (a, b): cones_between(entries[a].asked.course, entries[b].asked.course)
        for a in range(len(entries))
        for b in range(len(entries))
        if a != b
    }

    def cost(order):
        moves = [effort[pair] for pair in pairwise(order)]
        return sum(cones for cones, _ in moves), round(sum(metres for _, metres in moves), 6)

    asked = tuple(range(len(entries)))
    best = min(permutations(asked), key=lambda order: (*cost(order), order))
    moves = [0, *(effort[pair][0] for pair in pairwise(best))]
    return OrderOfDay(
        parts=tuple(_parts([entries[n] for n in best], moves)),
        cones_moved=cost(best)[0],
        saved_cones=cost(asked)[0] - cost(best)[0],
    )


def _parts(entries, moves):
    times = habits()["times"]
    start = 0
    for number, (entry, cones) in enumerate(zip(entries, moves, strict=True)):
        acts = [_set_up(times)] if number == 0 else [_change_over(entry, cones, times)]
        acts += _drives(entry, times)
        if number == len(entries) - 1:
            acts.append(Act(what="Pack up, site swept and handed back", minutes=times["pack_up_min"]))
        end = start + sum(act.minutes for act in acts)
        # Bookings stand on a grid of time; what is left of the last quarter hour is spare.
        end = ceil(end / GRID_MINUTES) * GRID_MINUTES
        yield Part(entry=entry, acts=tuple(acts), from_min=start, to_min=end)
        start = end


def _set_up(times):
    return Act(what="Walk the site, set out the course, set up instruments", minutes=times["set_up_min"])


def _change_over(entry, cones, times):
    what = f"Change of vehicle; move {cones} cones" if cones else "Change of vehicle; the cones stay"
    return Act(what=what, minutes=times["change_over_min"] + cones * times["cone_min"], job=entry.job)


def _drives(entry, times):
    ladder = entry.asked.speeds.ladder_kmh
    runs_min = len(ladder) * times["run_min"] * times["runs_per_speed"]
    speeds = f"{ladder[0]} to {ladder[-1]} km/h"
    ballast = f"Load {entry.ballast_kg:,.0f} kg of ballast" if entry.ballast_kg else "Load the ballast"
    ballast_min = times["ballast_fixed_min"] + (entry.ballast_kg or 0) / 100 * times["ballast_min_per_100_kg"]
    return [
        Act(what=f"Test Mass 1, {speeds}", minutes=runs_min, job=entry.job),
        Act(what=ballast, minutes=ballast_min, job=entry.job),
        Act(what=f"Test Mass 2, {speeds}", minutes=runs_min, job=entry.job),
    ]
