"""What an estimate is for, and what it comes to while the job is being looked at."""

from dataclasses import asdict, replace
from decimal import Decimal

from django.db.models import Q
from django.utils.formats import date_format
from django.utils.timezone import localtime

from jobs.estimates.compute import price
from jobs.estimates.scope import Scope
from jobs.workshop import prices
from testing.scheduling import postponements
from testing.scheduling.locking import standing_booking
from testing.testday.models import Retest, TestDay
from testing.triage import decision
from testing.triage.decision import DRIVING_REPORT, LANE_CHANGE
from vehicles.calculations.estimate import DRIVEN, RETESTS
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
            basis=f"Tests as signed by {signed.by.full_name} on {date_format(localtime(signed.at))}",
            signed=True,
            **_so_far(job),
        )
    triage = decision.triage_of(job)
    if triage.problems:
        return None
    return Scope(
        needs_lane_change=triage.lane_change.need in ("required", *decision.OPEN),
        needs_driving_report=triage.driving_report.need == "required",
        basis="As computed from the facts so far; the engineer has not signed yet",
        signed=False,
        **_so_far(job),
    )


def _so_far(job):
    """What has come about on the way, and costs: mornings called off, and test days to be driven again."""
    return {
        "bookings_expected": bookings_expected(job),
        "postponed": postponements.paid_again(job),
        # After a morning that was called off and paid again in part, the new day is in that part already.
        "retests": min(
            Retest.objects.filter(after__booking__job=job, after__booking__paid_again=False).count(), int(RETESTS.high)
        ),
        "driven": min(_over(job).count(), int(DRIVEN.high)),
    }


def _over(job):
    """Test days that are over, by the driver's word or because another one is decided."""
    days = TestDay.objects.filter(booking__job=job, booking__paid_again=False)
    return days.filter(Q(statement__isnull=False) | Q(retest__isnull=False))


def bookings_expected(job):
    """Bookings from now on, as the weather makes likely; None, the price book's usual number, when none stands.

    The booking of a day that is over is behind us: whatever day comes next has none yet.
    """
    booking = standing_booking(job)
    return None if booking and _over(job).filter(booking=booking).exists() else postponements.bookings_expected(job)


def book_for(job):
    """The workshop's prices, with the bookings that this job's own site and past make likely."""
    book, expected = prices.book(), bookings_expected(job)
    past = postponements.paid_again(job)
    return replace(
        book,
        bookings_expected=book.bookings_expected if expected is None else Decimal(str(expected)),
        lines=tuple(_dearer(line, past) for line in book.lines),
        insurance=_dearer(book.insurance, past),
        insurance_minimum_aud=book.insurance_minimum_aud * (1 + book.insurance.again * past),
    )


def _dearer(line, past):
    """The line with what was paid again inside its prices; the next called-off morning costs what it would have."""
    dearer = 1 + line.again * past
    return replace(
        line,
        low=line.low * dearer,
        likely=line.likely * dearer,
        high=line.high * dearer,
        again=line.again / dearer,
    )


def estimate_for(job):
    """The estimate of a job as data, or None while its records contradict each other."""
    priced = price(job)
    return None if priced is None else _as_data(priced)


def with_own_estimate(job, computed):
    """A work-up whose cost is the job's own: as signed, with its bookings and retests."""
    priced = price(job)
    if priced is None:
        return computed
    told = {working.quantity: working for working in priced.result.workings}
    working = [
        clean(asdict(told[item["quantity"]])) if item["quantity"] in told else item for item in computed["working"]
    ]
    return {**computed, "estimate": {**computed["estimate"], **_as_data(priced)}, "working": working}


def _as_data(priced):
    result = priced.result
    return clean(
        {
            **{name: getattr(result, name) for name in ("low_aud", "likely_aud", "high_aud", "gst_aud")},
            "lines": [{**vars(line)} for line in result.lines],
            "edition": priced.edition.edition,
            "undecided": result.undecided,
        }
    )
