"""What follows from a ruling: runs struck out, corrected by the log, or given another log."""

import uuid

from testing.testday import recording
from testing.testday.models import LoggedPass, Run, StruckRun


def carry_out(settlement):
    """Do what the engineer ruled, in the same transaction."""
    by, reason, ruling = settlement.by, settlement.reason, settlement.ruling
    if settlement.about == "contest" and ruling != "both":
        run = Run.objects.select_related("contests").get(pk=settlement.key)
        wrong, right = (run, run.contests) if ruling == "first" else (run.contests, run)
        if not StruckRun.objects.filter(run=wrong).exists():
            why = f"Written down twice; run {right.number} stands. {reason}"
            recording.strike_run(run=wrong, by=by, reason=why[:200])
    if settlement.about == "late" and ruling == "strike":
        run = Run.objects.get(pk=settlement.key)
        recording.strike_run(run=run, by=by, reason=f"Driven after a stop. {reason}"[:200])
    if settlement.about == "log":
        passed = LoggedPass.objects.select_related("run", "log__day").get(pk=settlement.key)
        if ruling == "log":
            _correct_by_log(passed, by, reason)
        elif ruling.startswith("run-"):
            _give_to(passed, int(ruling.removeprefix("run-")), by)


def _correct_by_log(passed, by, reason):
    found, seen = passed.found, {}
    if found.get("entry_kmh") is not None:
        seen["measured_kmh"] = round(found["entry_kmh"], 2)
    nearest = found.get("nearest") or {}
    if nearest and nearest["margin_m"] < 0 and passed.run.outcome == "clean":
        seen |= {"outcome": "cones", "cones_moved": len(found["touched"]), "cones": found["touched"]}
    seen |= _roll(passed)
    # A mark made from the ruling itself: settling twice corrects once.
    mark = uuid.uuid5(uuid.NAMESPACE_OID, f"log {passed.pk}")
    recording.correct_run(run=passed.run, by=by, reason=f"By the log. {reason}"[:200], sent_as=mark, **seen)


def _roll(passed):
    """The largest tilt; of a log with samples missing only what goes beyond what was written."""
    peak, least = passed.found.get("peak_tilt_deg"), passed.found.get("tilt_seen_deg")
    if peak is not None:
        return {"roll_deg": round(peak, 1)}
    return {"roll_deg": round(least, 1)} if least is not None and least > (passed.run.roll_deg or 0) else {}


def _give_to(passed, number, by):
    """The same pass once more, beside the run that it is of; the first entry stays and no longer speaks."""
    LoggedPass.objects.create(
        log=passed.log,
        number=passed.log.passes.count() + 1,
        run=passed.log.day.runs.get(number=number),
        starts_at=passed.starts_at,
        found=passed.found,
        by=by,
    )
