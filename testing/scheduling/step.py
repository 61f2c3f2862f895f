"""The third step: a day on which site, driver, cover and weather all hold."""

from datetime import timedelta

from django.utils import timezone

from jobs.lines import end_of
from jobs.owners import mornings, offers
from jobs.steps import OWNER, WEATHER, Blocker, NextAct, OwnerNews, Step
from testing.scheduling.conditions import conditions
from testing.scheduling.preparing import TO_BRING
from testing.scheduling.services import standing_booking
from testing.triage import decision


def applies(job):
    """Only where the signed triage asks for the lane-change test; while it is unsigned, perhaps."""
    return decision.need(job, decision.LANE_CHANGE) in (None, "required")


def blockers(job):
    for condition in conditions(job):
        if not condition.met:
            yield Blocker(text=f"{condition.title}: {condition.text}", url=condition.url)


def context(job):
    return {
        "booking": standing_booking(job),
        "conditions": conditions(job),
        "cancelled": job.bookings.exclude(cancelled_at=None).select_related("site"),
    }


def owner_news(job):
    booking = standing_booking(job)
    if booking is None:
        return OwnerNews(
            next="We are looking for a calm, dry morning for the lane-change test.",
            asks=("Tell us days on which you cannot do without the vehicle.", *TO_BRING[:1]),
        )
    if booking.held_until and booking.day in mornings.unsuitable(job):
        return OwnerNews(
            next=f"You told us that {booking.when} does not suit you. We look for another morning.", asks=TO_BRING[:1]
        )
    place = f"{booking.site}, {booking.site.place}" if booking.site.place else str(booking.site)
    if booking.held_until:
        return OwnerNews(
            next=f"We hold a morning for the lane-change test: {booking.when}, at {place}. It is not booked yet; "
            "say below if it does not suit you.",
            asks=TO_BRING[:1],
        )
    return OwnerNews(
        next=f"The lane-change test is booked: {booking.when}, at {place}. "
        "Wind or rain can still move it; we will tell you.",
        asks=TO_BRING,
    )


def next_act(job):
    """Weather's turn when nothing else is missing; a forecast changes without anybody touching the job."""
    booking = standing_booking(job)
    missing = {condition.title: condition.text for condition in conditions(job) if not condition.met}
    if booking is None:
        return _mornings_asked(job) or STEP.usual_act(job)
    if "Booking" in missing:
        return STEP.usual_act(job)
    due, because = booking.starts_at, "the test is booked for then"
    look_again = timezone.now() + timedelta(hours=1)
    if set(missing) == {"Weather"}:
        return NextAct(who=WEATHER, what=missing["Weather"], due=due, because=because, look_again=look_again)
    if set(missing) <= {"Weather", "Insurance cover"} and missing:
        what = f"Sends the insurance document. {missing['Insurance cover']}"
        return NextAct(who=OWNER, what=what, due=due, because=because, look_again=look_again)
    first = next(iter(missing.values()), f"{STEP.move_on_label}.")
    return NextAct(who=STEP.actor, what=first, due=due, because=because, look_again=look_again)


def _mornings_asked(job):
    """Nothing is booked before the owner has said which of the mornings do not suit."""
    if days := offers.unanswered(job):
        return NextAct(
            who=OWNER,
            what="Says which of the mornings offered do not suit.",
            due=end_of(days[0] - timedelta(days=2)),
            because="two days before the first of them",
            look_again=end_of(days[-1]),
        )
    return None


STEP = Step(
    key="scheduling",
    order=3,
    title="Scheduling",
    owner_title="Planning the test day",
    who="Engineer",
    permission="testing.schedule",
    move_on_label="Go to the test day",
    template="testing/scheduling/_panel.html",
    blockers=blockers,
    owner_news=owner_news,
    context=context,
    applies=applies,
    days=7,
    next_act=next_act,
)
