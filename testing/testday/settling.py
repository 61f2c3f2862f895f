"""What two sources say differently, or what came too late: open until the engineer has ruled on it."""

from dataclasses import dataclass

from django.db import transaction

from jobs.audit import record
from testing.testday import ladder
from testing.testday.locking import locked
from testing.testday.models import LoggedPass, Run, Settlement, StruckRun
from testing.testday.procedure import lane_change
from testing.testday.refused import Refused


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
    return f"{run.get_mass_display()}, {run.aimed_kmh} km/h, {run.get_outcome_display()}"


def _late(day):
    statement = getattr(day, "statement", None)
    if statement is None:
        return
    for run in day.runs.filter(struck=None, at__gt=statement.at, corrects=None):
        text = f"Run {run.number} ({_said(run)}) reached the sheet after the driver had signed."
        yield Item(about="late", key=run.pk, text=text, rulings=(("seen", "Seen: it changes nothing"),))


def _kept(day):
    for entry in day.kept_entries.select_related("by"):
        text = f"An entry ({entry.kind}) of {entry.by.full_name} could not be taken: {entry.reason}"
        yield Item(about="entry", key=entry.pk, text=text, rulings=(("seen", "Seen, and entered by hand if needed"),))


def _logs(day):
    passes = LoggedPass.objects.filter(log__day=day, run__struck=None).exclude(run=None)
    for passed in passes.select_related("run"):
        found = differences(passed)
        if not found or hasattr(passed.run, "struck"):
            continue
        yield Item(
            about="log",
            key=passed.pk,
            text=f"Run {passed.run.number}, log against sheet: {'; '.join(found)}.",
            rulings=(
                ("log", "The log is right: correct the run by it"),
                ("sheet", "What was written down is right"),
                ("other", "The log belongs to another run"),
            ),
        )


def differences(passed):
    """Where the log of a pass and the run that it was matched to say different things."""
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
    tilt = found.get("peak_tilt_deg")
    if tilt is not None and run.roll_deg is not None and abs(tilt - run.roll_deg) > 1:
        differing.append(f"{tilt:.1f}° of tilt by the log, {run.roll_deg:g}° written")
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
    _carry_out(settlement)
    return settlement


def _carry_out(settlement):
    from testing.testday import recording

    by, reason = settlement.by, settlement.reason
    if settlement.about == "contest" and settlement.ruling != "both":
        run = Run.objects.select_related("contests").get(pk=settlement.key)
        wrong, right = (run, run.contests) if settlement.ruling == "first" else (run.contests, run)
        if not StruckRun.objects.filter(run=wrong).exists():
            why = f"Written down twice; run {right.number} stands. {reason}"
            recording.strike_run(run=wrong, by=by, reason=why[:200])
    if settlement.about == "log" and settlement.ruling == "log":
        _correct_by_log(LoggedPass.objects.select_related("run").get(pk=settlement.key), by, reason)


def _correct_by_log(passed, by, reason):
    import uuid

    from testing.testday import recording

    found, seen = passed.found, {}
    if found.get("entry_kmh") is not None:
        seen["measured_kmh"] = round(found["entry_kmh"], 2)
    nearest = found.get("nearest") or {}
    if nearest and nearest["margin_m"] < 0 and passed.run.outcome == "clean":
        seen |= {"outcome": "cones", "cones_moved": len(found["touched"]), "cones": found["touched"]}
    if found.get("peak_tilt_deg") is not None:
        seen["roll_deg"] = round(found["peak_tilt_deg"], 1)
    # A mark made from the ruling itself: settling twice corrects once.
    mark = uuid.uuid5(uuid.NAMESPACE_OID, f"log {passed.pk}")
    recording.correct_run(run=passed.run, by=by, reason=f"By the log. {reason}"[:200], sent_as=mark, **seen)
