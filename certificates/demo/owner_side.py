"""What owner and desk settle in the demo: estimates and answers, money, a question, a morning that does not suit."""

from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from certificates.demo.clock import at
from certificates.demo.pictures import drawn
from jobs import owner_page
from jobs.estimates import decisions, money, versions
from jobs.models import Payment
from jobs.owners import files, mornings, questions, words
from testing.models import CrewMember
from testing.scheduling import services as planning

NOTED_AFTER = timedelta(minutes=40)


def after_triage(story):
    """The estimate goes out, and the owner answers it or leaves it lying."""
    told, start = story.spec.get("estimate"), story.booked_in()
    if not told:
        return
    desk, owner = story.people["desk"], story.spec["owner"]["name"]
    with at(start + timedelta(hours=4)):
        estimate = versions.write(job=story.job, by=desk)
        versions.send(estimate=estimate, by=desk)
    if told["answer"] == "sent":
        return
    with at(start + timedelta(hours=9)):
        decisions.opened(estimate)
    if told["answer"] == "opened":
        return
    with at(start + timedelta(hours=23)):
        accept = told["answer"] == "accepted"
        decisions.decide(estimate=estimate, accept=accept, name=owner, note=told.get("note", ""))
    if not accept:
        return
    _noted(story, start + timedelta(hours=23))
    _pay(story, "deposit", told["deposit_aud"], start + timedelta(hours=24))


def while_waiting(story):
    """A paper and a question from the owner's telephone; a morning that is offered."""
    start = story.booked_in()
    if paper := story.spec.get("owner_sends"):
        with at(start + timedelta(hours=26)):
            files.take(job=story.job, files=[drawn(paper)], what="insurance", note="")
        _noted(story, start + timedelta(hours=26))
    if asked := story.spec.get("question"):
        with at(start + timedelta(hours=30)):
            question = questions.ask(job=story.job, text=asked["text"])
        with at(start + timedelta(hours=31)):
            questions.answer(question=question, by=story.people["desk"], text=asked["answer"])
    if morning := story.spec.get("morning"):
        _offer(story, morning)


def _offer(story, morning):
    with at(timezone.now() - timedelta(hours=5)):
        planning.book(
            by=story.people["engineer"],
            job=story.job,
            site=story.site,
            driver=CrewMember.objects.get(name=morning["driver"]),
            starts_at=story.moment(morning["days"], 8),
            hours=4,
            hold_h=48,
        )
    with at(timezone.now() - timedelta(hours=2)):
        offered = owner_page.mornings_of(story.job)
        days = {one.day for one in offered}
        mornings.answer(job=story.job, offered=offered, unsuitable=days, note=morning["note"])


def after_certificate(story):
    """What things cost in the end, and the rest of the money."""
    desk, told = story.people["desk"], story.spec.get("estimate", {})
    with at(story.day.booking.starts_at + timedelta(hours=30)):
        for line, amount, note in told.get("costs", ()):
            money.note_cost(job=story.job, by=desk, line=line, amount_aud=Decimal(amount), note=note)
    rest = money.actual_total(story.job) - money.payments_total(story.job)
    if rest > 0:
        _pay(story, "payment", rest, story.day.booking.starts_at + timedelta(hours=50))


def _pay(story, kind, amount, moment):
    with at(moment):
        payment = Payment(kind=kind, how="transfer", amount_aud=Decimal(amount), received_on=timezone.localdate())
        payment.reference = story.job.number
        money.note_payment(job=story.job, by=story.people["desk"], payment=payment)


def _noted(story, said):
    """The desk takes note of what the owner said."""
    if open_words := story.job.owner_words.filter(noted_at=None).last():
        with at(said + NOTED_AFTER):
            words.note(job=story.job, by=story.people["desk"], up_to=open_words.pk)
