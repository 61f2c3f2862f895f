"""What an estimate is for, and what it comes to while the job is being looked at."""

from django.utils.timezone import localtime

from jobs.estimates.compute import price
from jobs.estimates.scope import Scope
from testing.scheduling import postponements
from testing.testday.models import Retest
from testing.triage import decision
from testing.triage.decision import DRIVING_REPORT, LANE_CHANGE
from vehicles.calculations.plain_data import clean


def scope_for(job):
    """What the signed triage requires; before it is signed, what the rules compute. None on a contradiction.

    Unsigned, everything that may still be required counts: an estimate errs upwards.
    """
    signed = decision.signed(job)
    if signed is not None:
        return Scope(
            needs_lane_change=decision.need(job, LANE_CHANGE) == "required",
            needs_driving_report=decision.need(job, DRIVING_REPORT) == "required",
            basis=f"Tests as signed by {signed.by.full_name} on {localtime(signed.at):%d %b %Y}",
            signed=True,
            bookings_expected=postponements.bookings_expected(job),
        )
    triage = decision.triage_of(job)
    if triage.problems:
        return None
    return Scope(
        needs_lane_change=triage.lane_change.need in ("required", *decision.OPEN),
        needs_driving_report=triage.driving_report.need == "required",
        basis="As computed from the facts so far; the engineer has not signed yet",
        signed=False,
        bookings_expected=postponements.bookings_expected(job),
    )


def estimate_for(job):
    """The estimate of a job as data, or None while its records contradict each other."""
    priced = price(job, retests=Retest.objects.filter(after__booking__job=job).count())
    if priced is None:
        return None
    result = priced.result
    return clean(
        {
            **{name: getattr(result, name) for name in ("low_aud", "likely_aud", "high_aud", "gst_aud")},
            "lines": [{**vars(line)} for line in result.lines],
            "edition": priced.edition.edition,
            "undecided": result.undecided,
        }
    )
