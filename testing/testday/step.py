"""The fourth step: the test day, or the certifier's own drive."""

from django.urls import reverse
from django.utils import timezone

from jobs.steps import OWNER, WEATHER, Blocker, NextAct, OwnerNews, Step
from testing.scheduling.services import standing_booking
from testing.testday import measuring, retest
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
        "retest_possible": bool(found.day) and not found.passed and not retest.possible(job)[1],
    }


def owner_news(job):
    found = result(job)
    booking = standing_booking(job)
    if found.passed:
        return OwnerNews(next="The test is done and passed; the engineer prepares the certificate.")
    if found.statement and not retest.said_no(found.day):
        return OwnerNews(next="The runs are driven; the engineer goes through the record and signs.")
    if found.statement:
        return OwnerNews(
            next="The test day is over and the vehicle did not pass. The engineer will tell you what has to change.",
            asks=("Wait for our call before you change anything.",),
        )
    if found.required == ("DRIVING_REPORT",):
        return OwnerNews(next="The engineer drives your vehicle and reports how it handles.")
    if booking is None:
        return OwnerNews(next="A new test day has to be found; we will tell you the date.")
    return OwnerNews(
        next=f"Your vehicle is tested at {booking}. Wind or rain can move the day.",
        asks=("Bring the vehicle empty, with spare wheel, jack and tools in their places.",),
    )


def next_act(job):
    """Before the morning it is weather's turn; after a failed test the owner's; else the engineer's."""
    found = result(job)
    if (found.day and retest.said_no(found.day)) or (found.report and not found.report.safe):
        return NextAct(who=OWNER, what="Decides what is changed on the vehicle before another test.")
    booking = standing_booking(job)
    if booking and found.day is None and booking.starts_at > timezone.now():
        return NextAct(
            who=WEATHER,
            what=f"Test at {booking}.",
            due=booking.starts_at,
            because="the test is booked for then",
            look_again=booking.starts_at,
        )
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
