"""The part of the record that testing wrote down: decision, days, runs, statement, report. Copied, never judged."""

from certificates import meeting
from certificates import record_of_sheet as sheet
from certificates.moments import when
from certificates.record_of_booked import booked_of
from testing.models import TestDay
from testing.testday.result import latest_day, required
from testing.triage import decision

# The work-up without what a certificate does not speak of: cost, and needs before the engineer decided.
_WORK_UP = ("edition", "category", "height", "masses", "course", "speeds", "stability", "demand", "limits", "working")
# Of an edition: what a reader needs to find the text, and who held it against the current one.
_EDITION = ("id", "title", "effective_from", "checked_by", "checked_on", "source", "note")


def triage_of(job):
    signed = decision.signed(job)
    return signed and {
        **_signatory(signed),
        "signed_at": when(signed.at),
        "category": signed.results["category"],
        "height": signed.results["height"],
        "requirements": _requirements(job, signed),
    }


def _requirements(job, signed):
    """The lines as they were signed, and with each required one what meets it."""
    met = meeting.told(job)
    return [
        {**line, "met": met[line["code"]]} if line["code"] in met else line for line in signed.results["requirements"]
    ]


def _signatory(signed):
    """Who signed the decision, as they were called and numbered on that day."""
    told = signed.results.get("signed_by") or {
        "name": signed.by.full_name,
        "authority_number": signed.by.authority_number,
    }
    return {"signed_by": told["name"], "signed_by_authority_number": told["authority_number"]}


def rules_of(job):
    """Each edition the decision was taken under, with the mark of whoever had checked it when it was signed."""
    signed = decision.signed(job)
    return [{name: edition[name] for name in _EDITION} for edition in (signed.results["editions"] if signed else ())]


def test_days_of(job):
    """Every day that was opened, with all its runs; the one that the result rests on decides."""
    decisive = latest_day(job) if decision.LANE_CHANGE in (required(job) or ()) else None
    days = TestDay.objects.filter(booking__job=job).select_related("booking__site", "booking__driver")
    return [{"decides": day == decisive, **_day(day)} for day in days.order_by("pk")]


def _day(day):
    runs = list(day.runs.select_related("by", "struck__by").prefetch_related("photos").order_by("number"))
    booking = day.booking
    return {
        **booked_of(day),
        "starts_at": when(booking.starts_at),
        "ends_at": when(booking.ends_at),
        "called_off_because": booking.cancelled_because,
        "opened_by": day.opened_by.full_name,
        "told": day.work_up.get("cautions", []),
        "checks": sheet.checks_of(day),
        "work_up": {key: day.work_up[key] for key in _WORK_UP if key in day.work_up},
        "runs": [_run(run) for run in runs],
        "releases": [
            sheet.signed(release, mass=release.mass, after_run=release.after_run, reason=release.reason)
            for release in day.releases.select_related("by")
        ],
        "weather": _weather(runs),
        "statement": _statement(getattr(day, "statement", None)),
        **sheet.sheet_of(day),
    }


def _run(run):
    struck = getattr(run, "struck", None)
    more = {
        "number": run.number,
        "mass": run.mass,
        "aimed_kmh": run.aimed_kmh,
        "measured_kmh": run.measured_kmh,
        "outcome": run.outcome,
        "cones_moved": run.cones_moved,
        "wind_mps": run.wind_mps,
        "surface": run.surface,
        "counts": run.counts,
        "not_counting_because": run.not_counting_because,
        "remark": run.remark,
        "struck": struck and {"reason": struck.reason, "by": struck.by.full_name, "at": when(struck.at)},
        **sheet.more_of_run(run),
    }
    return sheet.signed(run, **more)


def _weather(runs):
    """What was measured over all runs that still speak, and over those that count."""
    speaking = [run for run in runs if not hasattr(run, "struck")]
    return {"all_runs": _range(speaking), "counting_runs": _range([run for run in speaking if run.counts])}


def _range(runs):
    winds = [run.wind_mps for run in runs if run.wind_mps is not None]
    return {
        "wind_low_mps": min(winds, default=None),
        "wind_high_mps": max(winds, default=None),
        "runs_without_wind": len(runs) - len(winds),
        "surfaces": sorted({run.surface for run in runs}),
    }


def _statement(statement):
    return statement and {
        "driver": statement.driver.name,
        "safe": statement.safe,
        "remark": statement.remark,
        "signed_name": statement.signed_name,
        "at": when(statement.when),
        **sheet.more_of_statement(statement),
    }


def driving_report_of(job):
    report = job.driving_reports.last()
    return report and {
        "driven_on": report.driven_on.isoformat(),
        "conditions": report.conditions,
        "handling": report.handling,
        "safe": report.safe,
        **{name: value for name in ("checks", "ratings", "masses") if (value := getattr(report, name))},
        "by": report.by.full_name,
        "at": when(report.at),
    }


def covers_of(job):
    return [
        {
            "reference": cover.reference,
            "arranged_by": cover.arranged_by,
            "sum_aud": f"{cover.sum_aud:.2f}",
            "valid_from": cover.valid_from.isoformat(),
            "valid_to": cover.valid_to.isoformat(),
        }
        for cover in job.covers.all()
    ]
