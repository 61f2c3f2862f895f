"""What two sources say differently, or what came too late: open until the engineer has ruled on it."""

from dataclasses import dataclass

from django.db import transaction

from jobs.audit import record
from jobs.refused import Refused
from testing.testday import ladder, limits, matching, rulings
from testing.testday.locking import locked
from testing.testday.models import LoggedPass, Settlement
from testing.testday.procedure import lane_change

TILT_TOLERANCE_DEG = 1


@dataclass(frozen=True, kw_only=True)
class Item:
    """Something to rule on. ``rulings`` are the choices, each with what it does."""

    about: str
    key: int
    text: str
    rulings: tuple[tuple[str, str], ...]


def open_items(day):
    """Everything on this day that waits for the engineer's ruling."""
    settled = set(day.settlements.values_list("about", "key"))
    items = [*_contests(day), *_late(day), *_kept(day), *_logs(day)]
    return [item for item in items if (item.about, item.key) not in settled]


def _contests(day):
    for run in day.runs.filter(struck=None).exclude(contests=None).select_related("contests", "by", "contests__by"):
        if not ladder.contest_is_open(day, run):
            continue
        first, second = run.contests, run
        yield Item(
            about="contest",
            key=run.pk,
            text=(
                f"Run {first.number} ({first.by.full_name}: {_said(first)}) and run {second.number} "
                f"({second.by.full_name}: {_said(second)}) were written down within a minute on two phones."
            ),
            rulings=(
                ("first", f"One run: run {first.number} is right, strike out run {second.number}"),
                ("second", f"One run: run {second.number} is right, strike out run {first.number}"),
                ("both", "Two runs: both were driven, both stand"),
            ),
        )


def _said(run):
    """A run so that somebody who was there knows it again."""
    clock = run.when.astimezone(run.day.booking.site.zone)
    measured = "speed not measured" if run.measured_kmh is None else f"{run.measured_kmh:g} km/h measured"
    counts = "" if run.counts else f", does not count: {run.not_counting_because}"
    return (
        f"{clock:%H:%M:%S}, {run.get_mass_display()}, {run.aimed_kmh} km/h aimed at, {measured}, "
        f"{run.get_outcome_display()}{counts}"
    )


def _late(day):
    yield from _after_a_stop(day)
    statement = getattr(day, "statement", None)
    if statement is None:
        return
    limit = limits.rolls(day)
    for run in day.runs.filter(struck=None, at__gt=statement.at, corrects=None):
        text = f"Run {run.number} ({_said(run)}) reached the sheet after the driver had signed."
        stops = ladder.alarms(run, limit(run))
        seen = (
            "Seen: what happened on it stops this day, so decide on a retest" if stops else "Seen: it changes nothing"
        )
        yield Item(about="late", key=run.pk, text=text, rulings=(("seen", seen),))


def _after_a_stop(day):
    """Runs that were driven after a stop of which their phone had not heard, and that were stored before it."""
    runs = list(day.runs.filter(struck=None, counts=True).select_related("by"))
    for stop in day.stops.exclude(called_at=None).select_related("by"):
        clock = stop.when.astimezone(day.booking.site.zone)
        for run in runs:
            # A correction was stored later than the run that it stands for.
            if run.when > stop.when and ladder.first_writing(run).at <= stop.at:
                text = (
                    f"Run {run.number} ({_said(run)}) was driven after {stop.by.full_name} had stopped the runs at "
                    f"{clock:%H:%M:%S}: {stop.reason.rstrip('.')}."
                )
                yield Item(
                    about="late",
                    key=run.pk,
                    text=text,
                    rulings=(("stands", "It stands: what stopped the runs was not there yet"), ("strike", "Strike it")),
                )


def _kept(day):
    for entry in day.kept_entries.select_related("by"):
        text = f"An entry ({entry.kind}) of {entry.by.full_name} could not be taken: {entry.reason}"
        yield Item(about="entry", key=entry.pk, text=text, rulings=(("seen", "Seen, and entered by hand if needed"),))


def _logs(day):
    passes = LoggedPass.objects.standing().filter(log__day=day, run__struck=None).exclude(run=None)
    free = [(f"run-{run.number}", f"The log is that of run {run.number}") for run in matching.free_runs(day)]
    limit = limits.rolls(day)
    for passed in passes.select_related("run__day__booking__site"):
        found = differences(passed, roll_deg=limit(passed.run))
        if not found:
            continue
        yield Item(
            about="log",
            key=passed.pk,
            text=f"Run {passed.run.number}, log against sheet: {'; '.join(found)}.",
            rulings=(
                # A log that contradicts itself is no evidence against the sheet.
                *(() if passed.found.get("speed_disputed") else (("log", "The log is right: correct the run by it"),)),
                ("sheet", "What was written down is right"),
                *free,
                ("other", "The log belongs to no run on this sheet"),
            ),
        )


def differences(passed, *, roll_deg):
    """Where the log of a pass and the run that it was matched to say different things.

    A tilt beyond the angle that stops the climb is told even where nobody wrote one down.
    """
    found, run = passed.found, passed.run
    tolerance = lane_change().limit("log_tolerance_kmh")
    differing = []
    entry = found.get("entry_kmh")
    if entry is not None and (run.measured_kmh is None or abs(entry - run.measured_kmh) > tolerance):
        written = "no speed" if run.measured_kmh is None else f"{run.measured_kmh:.1f} km/h"
        differing.append(f"{entry:.1f} km/h at entry by the log, {written} written")
    nearest = (found.get("nearest") or {}).get("margin_m")
    if nearest is not None and nearest < 0 and run.outcome == "clean":
        differing.append(f"the path passes over cone {found['nearest']['cone']}, clean written")
    tilt, tilt_seen = found.get("peak_tilt_deg"), found.get("tilt_seen_deg", found.get("peak_tilt_deg"))
    if tilt is not None and run.roll_deg is not None and abs(tilt - run.roll_deg) > TILT_TOLERANCE_DEG:
        differing.append(f"{tilt:.1f}° of tilt by the log, {run.roll_deg:g}° written")
    elif tilt_seen is not None and tilt_seen > roll_deg and (run.roll_deg is None or run.roll_deg <= roll_deg):
        written = "none" if run.roll_deg is None else f"{run.roll_deg:g}°"
        least = "at least " if tilt is None else ""
        differing.append(f"{least}{tilt_seen:.1f}° of tilt by the log, beyond {roll_deg:g}°, {written} written")
    return differing


@transaction.atomic
def settle(*, day, by, about, key, ruling, reason):
    """The engineer's ruling; what it strikes out or corrects follows in the same act."""
    day = locked(day)
    if day.booking.job.done:
        raise Refused("The file is closed: nothing on it is settled any more.")
    item = next((item for item in open_items(day) if (item.about, item.key) == (about, key)), None)
    if item is None:
        raise Refused("That is settled already, or it does not belong to this day.")
    if ruling not in dict(item.rulings):
        raise Refused(f"“{ruling[:20]}” is not a ruling here. Allowed: {', '.join(dict(item.rulings))}.")
    settlement = Settlement.objects.create(day=day, about=about, key=key, ruling=ruling, reason=reason, by=by)
    record(day.booking.job, by, f"Settled: {item.text}"[:200], ruling=dict(item.rulings)[ruling], reason=reason)
    rulings.carry_out(settlement)
    return settlement
