"""The fourth step: the test day, or the certifier's own drive."""

from django.urls import reverse
from django.utils import timezone

from jobs.steps import ENGINEER, OWNER, WEATHER, Blocker, NextAct, OwnerNews, Step
from testing.scheduling.preparing import TO_BRING
from testing.scheduling.services import standing_booking
from testing.testday import measuring, must_change, retest
from testing.testday.models import TestDay
from testing.testday.opening import STEP_KEY
from testing.testday.procedures import measured, measured_keys
from testing.testday.result import required, result
from testing.triage.decision import LANE_CHANGE


def applies(job):
    """Yes until a signed triage asks for no lane-change test, no driving report and nothing to be measured."""
    asked = required(job)
    return asked is None or bool(asked)


def blockers(job):
    found = result(job)
    if found.day:
        url = reverse("testing:day_sheet", args=[found.day.pk])
    elif "DRIVING_REPORT" in found.required:
        url = reverse("testing:driving_report", args=[job.number])
    elif LANE_CHANGE not in found.required and (keys := measuring.asked(job)):
        url = reverse("testing:measurement", args=[job.number, keys[0]])
    else:
        url = reverse("testing:work_up", args=[job.number])
    for reason in found.reasons:
        yield Blocker(text=reason, url=url)


def context(job):
    booking = standing_booking(job)
    days = TestDay.objects.filter(booking__job=job).select_related("booking__site", "booking__driver")
    may_open = booking is not None and job.stage == STEP_KEY and not days.filter(booking=booking).exists()
    found = result(job)
    return {
        "result": found,
        "booking": booking,
        "days": days,
        "may_open": may_open,
        "measured": [(key, measured(key).title) for key in measured_keys()],
        "sheets": list(measuring.latest(job).values()),
        "must_tell": bool(failure := must_change.failed(found)) and must_change.told(failure) is None,
        "told": must_change.told(failure),
        "retest_possible": bool(found.day) and not found.passed and not retest.possible(job)[1],
    }


def owner_news(job):
    found = result(job)
    booking = standing_booking(job)
    if found.passed:
        return OwnerNews(next="The test is done and passed; the engineer prepares the certificate.")
    if failure := must_change.failed(found):
        return _not_passed(must_change.told(failure))
    if booking and _lies_ahead(booking, found):
        # Until the vehicle has been tested its owner needs the list, most of all on the morning itself.
        return OwnerNews(next=f"Your vehicle is tested at {booking}. Wind or rain can move the day.", asks=TO_BRING)
    if found.statement and not retest.said_no(found.day):
        return OwnerNews(next="The runs are driven; the engineer goes through the record and signs.")
    if found.required == ("DRIVING_REPORT",):
        return OwnerNews(next="The engineer drives your vehicle and reports how it handles.")
    return OwnerNews(next="A new test day has to be found; we will tell you the date.")


def _lies_ahead(booking, found):
    """Whether that booking is still to be driven: no statement has ended its day."""
    return found.day is None or found.statement is None or found.day.booking_id != booking.pk


def _not_passed(said):
    if said is None:
        return OwnerNews(
            next="The test is over and your vehicle did not pass. The engineer writes here what has to change.",
            asks=("Wait for that before you change anything.",),
        )
    return OwnerNews(
        next=f"The test is over and your vehicle did not pass. What has to change: {said.told}",
        asks=("Decide whether it is changed, and tell us when it is done: then we look for another day.",),
    )


def next_act(job):
    """Before the morning it is weather's turn. After a failed test the engineer says what has to change; then it is
    the owner's."""
    found = result(job)
    if failure := must_change.failed(found):
        if must_change.told(failure) is None:
            return NextAct(who=ENGINEER, what="Tell the owner what has to change on the vehicle.")
        return NextAct(who=OWNER, what="Decides what is changed on the vehicle before another test.")
    booking = standing_booking(job)
    if booking and _lies_ahead(booking, found) and booking.starts_at > timezone.now():
        return NextAct(
            who=WEATHER,
            what=f"Test at {booking}.",
            due=booking.starts_at,
            because="the test is booked for then",
            look_again=booking.starts_at,
        )
    if found.day and hasattr(found.day, "retest") and not (booking and _lies_ahead(booking, found)):
        return NextAct(who=ENGINEER, what="Find a day for the retest.")
    return STEP.usual_act(job)


STEP = Step(
    key=STEP_KEY,
    order=4,
    title="Test day",
    owner_title="Test day",
    who="Engineer and driver",
    permission="testing.run_test_day",
    move_on_label="Go on to the certificate",
    template="testing/testday/_panel.html",
    blockers=blockers,
    context=context,
    owner_news=owner_news,
    applies=applies,
    next_act=next_act,
)
