"""The first step: booking in."""

from django.urls import reverse
from django.utils import timezone

from jobs.steps import DESK, OWNER, Blocker, NextAct, OwnerNews, Step


def blockers(job):
    """What the desk must have before an engineer can start: who, what vehicle, what was done to it."""
    vehicle = job.vehicle
    if not (job.owner.phone or job.owner.email):
        yield Blocker(text="No phone number and no e-mail of the owner.", url=reverse("jobs:owner", args=[job.number]))
    if not (vehicle.vin or vehicle.plate):
        yield Blocker(
            text="Neither VIN nor plate: the vehicle cannot be told from another.",
            url=reverse("jobs:vehicle", args=[job.number]),
        )
    if not vehicle.modifications.exists():
        yield Blocker(
            text="No modification entered: there is nothing to certify.",
            url=reverse("jobs:modifications", args=[job.number]),
        )


def owner_news(job):
    return OwnerNews(
        next="We are writing down your vehicle and what was changed on it.",
        asks=("Tell us what was fitted, and bring receipts and kit papers if you have them.",),
    )


def after_booking(job):
    """What the receipt says comes next: the owner who holds it has watched the booking itself."""
    engineer = "the engineer decides which tests and reports your vehicle needs, and we tell you what that will cost."
    if job.expected_at and job.expected_at > timezone.now():
        comes = timezone.localtime(job.expected_at)
        text = f"You bring the vehicle in on {comes:%A}, {comes.day} {comes:%B %Y}, {comes:%H:%M}. Then {engineer}"
    else:
        text = engineer[0].upper() + engineer[1:]
    return OwnerNews(next=text, asks=owner_news(job).asks)


def next_act(job):
    """Until the vehicle is due to come in, it is the owner's turn; then the desk's."""
    if job.expected_at and job.expected_at > timezone.now():
        return NextAct(
            who=OWNER,
            what="Brings the vehicle in.",
            due=job.expected_at,
            because="as agreed with the owner",
            look_again=job.expected_at,
        )
    return STEP.usual_act(job)


STEP = Step(
    key="booking",
    order=1,
    title="Book in",
    owner_title="Booked in",
    who="Front desk",
    permission="jobs.book_in",
    move_on_label="Hand to the engineer",
    template="jobs/_booking_panel.html",
    blockers=blockers,
    owner_news=owner_news,
    actor=DESK,
    days=1,
    next_act=next_act,
)
