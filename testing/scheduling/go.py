"""Go or no-go: every condition with its evidence, and what the engineer decided on it."""

from dataclasses import dataclass
from datetime import timedelta

from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from jobs.audit import record
from jobs.refused import Refused
from testing.models import BallastStock, GoDecision, PreparationCheck
from testing.scheduling import forecast, gear, telling
from testing.scheduling.conditions import Condition, conditions_of
from testing.scheduling.habits import habits
from testing.scheduling.locking import locked, standing_booking
from testing.scheduling.room import asked_by
from testing.triage import decision
from vehicles.calculations.verdict import MET, NOT_MET, UNKNOWN

# No reason makes up for these: without them nobody may drive.
NO_WAY_ROUND = ("Booking", "Site", "Driver", "Insurance cover", "Triage")


@dataclass(frozen=True, kw_only=True)
class Item:
    """One item of the preparation, with the latest word on it."""

    key: str
    title: str
    ask: str
    found: object

    @property
    def verdict(self):
        return self.found.verdict if self.found else UNKNOWN

    @property
    def text(self):
        if self.found is None:
            return f"Not looked at yet. {self.ask}."
        at = date_format(timezone.localtime(self.found.at), "j M, H:i")
        return f"{self.found.evidence} ({self.found.by.full_name}, {at})"


def preparation(booking):
    """The preparation sheet of a booking, item by item."""
    latest = {check.key: check for check in booking.preparation.select_related("by")}
    return [Item(**item, found=latest.get(item["key"])) for item in habits()["preparation"]]


def conditions_for_go(job, booking):
    """Every condition of the test morning, those of the preparation sheet last."""
    found = {condition.title: condition for condition in conditions_of(job, booking)}
    found["Weather"] = _fresh(found["Weather"], booking)
    site = reverse("testing:site", args=[booking.site_id])
    found.setdefault(
        "Daylight",
        Condition(
            title="Daylight",
            verdict=UNKNOWN,
            text="It is not recorded where the site lies: enter its latitude and longitude.",
            url=site,
        ),
    )
    if "Instruments" not in found:
        _, text = gear.instruments([], booking.day)
        found["Instruments"] = Condition(title="Instruments", verdict=UNKNOWN, text=f"{text} None are on the books.")
    extra = [_triage(job), _observers(booking), _ballast(job)]
    items = [Condition(title=item.title, verdict=item.verdict, text=item.text) for item in preparation(booking)]
    return [*found.values(), *extra, *items]


def _fresh(weather, booking):
    """Weather by a forecast too old to decide by is not known."""
    rows = booking.site.forecast.filter(starts_at__gte=booking.starts_at, starts_at__lt=booking.ends_at)
    oldest = rows.order_by("entered_at").values_list("entered_at", flat=True).first()
    if weather.verdict == MET and oldest and forecast.is_stale(oldest):
        return Condition(title="Weather", verdict=UNKNOWN, text=weather.text, url=weather.url)
    return weather


def _triage(job):
    url = reverse("testing:triage", args=[job.number])
    if decision.signed(job) is None:
        return Condition(title="Triage", verdict=UNKNOWN, text="It is not signed.", url=url)
    if decision.is_stale(job):
        text = "Facts or rules changed since it was signed: sign it again first."
        return Condition(title="Triage", verdict=NOT_MET, text=text, url=url)
    return Condition(title="Triage", verdict=MET, text="Signed, and nothing changed since.", url=url)


def _observers(booking):
    people = [str(person) for person in booking.observers.all()]
    url = reverse("testing:schedule", args=[booking.job.number])
    if not people:
        return Condition(title="Observers", verdict=UNKNOWN, text="Nobody is booked to count cones.", url=url)
    return Condition(title="Observers", verdict=MET, text=", ".join(people) + ".", url=url)


def _ballast(job):
    booking = standing_booking(job)
    asked = asked_by(job, driver_kg=booking.driver.mass_kg if booking else None)
    needed = gear.ballast_needed_kg(asked.masses) if asked.masses else None
    verdict, text = gear.ballast(needed, list(BallastStock.objects.all()))
    return Condition(title="Ballast", verdict=verdict, text=text, url=reverse("testing:planner") + "#ballast")


@transaction.atomic
def note(*, by, job, key, verdict, evidence):
    """Write down what was found about one item of the preparation. The earlier words stay."""
    job = locked(job)
    booking = _standing(job)
    titles = {item["key"]: item["title"] for item in habits()["preparation"]}
    if key not in titles:
        raise Refused("There is no such item on the preparation sheet.")
    check = PreparationCheck.objects.create(booking=booking, key=key, verdict=verdict, evidence=evidence, by=by)
    record(job, by, f"Preparation: {titles[key]} {check.get_verdict_display()}", evidence=evidence)
    return check


@transaction.atomic
def decide(*, by, job, word, reason=""):
    """Record go or no-go with every condition as it is known now, and tell everybody."""
    job = locked(job)
    booking = _standing(job)
    found = conditions_for_go(job, booking)
    if word == "go":
        _guard(found, reason)
    elif not reason:
        raise Refused("Say why it does not go ahead: owner and crew read it.")
    kept = [{"title": c.title, "verdict": c.verdict, "text": c.text} for c in found]
    made = GoDecision.objects.create(
        booking=booking, decision=word, occasion=occasion(booking), conditions=kept, reason=reason, by=by
    )
    record(job, by, f"{made.get_decision_display().capitalize()} for {booking}", reason=reason)
    telling.tell(word, booking, reason=reason)
    return made


def _guard(found, reason):
    if never := [c for c in found if c.verdict == NOT_MET and c.title in NO_WAY_ROUND]:
        raise Refused(*(f"No go without this. {c.title}: {c.text}" for c in never))
    open_ = [c.title for c in found if not c.met]
    if open_ and not reason:
        raise Refused(f"Not met or unknown: {', '.join(open_)}. Say why it goes ahead all the same.")


def _standing(job):
    booking = standing_booking(job)
    if booking is None:
        raise Refused(f"{job.number} has no standing booking to decide on.")
    return booking


def occasion(booking, now=None):
    """When the decision is taken, seen from the morning itself."""
    now = now or timezone.now()
    if now.astimezone(booking.site.zone).date() == booking.day:
        return "on the morning"
    if booking.starts_at - now <= timedelta(hours=24):
        return "the evening before"
    return "ahead of time"


def latest(booking, at=None):
    """The decision that stands for a booking, or stood at that moment, or None."""
    found = booking.decisions.select_related("by")
    return (found if at is None else found.filter(at__lte=at)).first()
