"""The jobs of the demo, each brought as far as its story goes by the same acts that people use."""

import uuid
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal

from django.utils import timezone

from certificates import meeting
from certificates.demo import owner_side
from certificates.demo.clock import at
from certificates.demo.pictures import drawn, written
from certificates.services import issue
from jobs import services as desk_acts
from jobs import stages
from jobs.models import User
from testing.models import CrewMember, InsuranceCover, Site
from testing.scheduling import climate, gear, keeping
from testing.scheduling import services as planning
from testing.scheduling.records import Reading
from testing.testday import checks, loading, opening, recording, signing
from testing.testday.instruments import booked
from testing.testday.procedure import lane_change
from testing.triage import decision
from vehicles.models import Modification

HOURS = 4
FAR = ("opened", "handed over", "triaged", "day opened", "certified")


class Story:
    """One job of the scenario. `tell` acts it out up to where it stands today."""

    def __init__(self, scenario, spec):
        self.spec = spec
        self.secret = scenario["password"]
        self.facts = scenario["vehicles"][spec["vehicle"]]
        self.site = Site.objects.get(name=scenario["weather"]["site"])
        self.people = {user.username: user for user in User.objects.all()}

    def tell(self):
        chapters = (self.book_in, self.hand_over, self.triage, self.open_day, self.certify)
        for chapter in chapters[: FAR.index(self.spec["until"]) + 1]:
            chapter()
            self.job.refresh_from_db()
        if self.spec["until"] == "certified":
            owner_side.after_certificate(self)

    def moment(self, days, hour):
        day = timezone.localdate(timezone=self.site.zone) + timedelta(days=days)
        return datetime.combine(day, time(hour), self.site.zone)

    def booked_in(self):
        # Today's own entries must not lie ahead of the clock.
        return min(self.moment(self.spec["booked_in_days"], 9), timezone.now())

    def book_in(self):
        desk = self.people["desk"]
        with at(self.booked_in()):
            vehicle = {**self.facts, "plate": self.spec["plate"], "vin": self.spec["vin"]}
            self.job = desk_acts.open_job(
                by=desk,
                jurisdiction=self.spec["jurisdiction"],
                owner={**self.spec["owner"], "user": self.people.get(self.spec.get("account"))},
                vehicle={**vehicle, "plate_state": self.spec["jurisdiction"]},
            )
            for modification in self.spec["modifications"]:
                desk_acts.add_modification(by=desk, job=self.job, modification=Modification(**modification))
            for caption in self.spec["photos"]:
                desk_acts.add_document(
                    by=desk,
                    job=self.job,
                    upload=drawn(caption),
                    kind="photo",
                    caption=caption,
                    content_type="image/png",
                )
            for caption in self.spec.get("papers", ()):
                desk_acts.add_document(
                    by=desk,
                    job=self.job,
                    upload=written(caption),
                    kind="paper",
                    caption=caption,
                    content_type="image/png",
                )

    def hand_over(self):
        with at(self.booked_in() + timedelta(minutes=25)):
            self.move_on("desk")

    def triage(self):
        engineer = self.people["engineer"]
        with at(self.booked_in() + timedelta(hours=3)):
            for line in decision.triage_of(self.job).open_lines:
                decision.override(
                    job=self.job,
                    by=engineer,
                    code=line.computed["code"],
                    need="required",
                    reason="Seen on the vehicle: it applies to what was fitted.",
                )
            decision.sign(job=self.job, by=engineer)
            self.move_on("engineer")
        owner_side.after_triage(self)
        owner_side.while_waiting(self)

    def wanted(self, start):
        """Site, people and instruments for a morning."""
        return {
            "site": self.site,
            "driver": CrewMember.objects.get(name=self.spec["driver"]),
            "starts_at": start,
            "hours": HOURS,
            "observers": list(CrewMember.objects.filter(drives=False)),
            "instruments": gear.choose(start.date())[0],
        }

    def lose_a_morning(self):
        """An earlier booking that the weather took."""
        if lost := self.spec.get("lost_morning"):
            engineer, start = self.people["engineer"], self.moment(lost["days"], 8)
            with at(start - timedelta(hours=48)):
                planning.book(by=engineer, job=self.job, **self.wanted(start))
            with at(start - timedelta(hours=14)):
                planning.cancel(by=engineer, job=self.job, reason=lost["because"], cause="weather")

    def open_day(self):
        engineer = self.people["engineer"]
        start = self.moment(self.spec["day_days"], 8)
        self.lose_a_morning()
        with at(min(start - timedelta(hours=15), timezone.now())):
            cover = InsuranceCover(
                arranged_by="engineer",
                reference="Wattle Mutual, certificate 4471",
                sum_aud=Decimal(self.spec["cover_aud"]),
                valid_from=start.date() - timedelta(days=30),
                valid_to=start.date() + timedelta(days=30),
            )
            planning.add_cover(by=engineer, job=self.job, cover=cover)
            planning.book(by=engineer, job=self.job, **self.wanted(start))
            self.move_on("engineer")
            self.day = opening.open_day(job=self.job, by=engineer)

    def certify(self):
        engineer, driver = self.people["engineer"], self.people["driver"]
        start = self.day.booking.starts_at
        with at(start + timedelta(minutes=30)):
            listed = lane_change().checks
            named = [check.key for check in listed if check.instrument and check.instrument not in booked(self.day)]
            notes = dict.fromkeys(named, self.spec["instruments_not_booked"])
            checks.confirm(day=self.day, keys=[check.key for check in listed], by=engineer, notes=notes)
        loaded = None
        for number, (mass, aimed, measured, outcome, cones, wind, remark) in enumerate(self.spec["runs"]):
            with at(start + timedelta(minutes=45 + 9 * number)):
                if mass != loaded:
                    self.load(mass)
                    loaded = mass
                recording.record_run(
                    day=self.day,
                    by=engineer,
                    sent_as=uuid.uuid4(),
                    mass=mass,
                    aimed_kmh=aimed,
                    measured_kmh=measured,
                    outcome=outcome,
                    cones_moved=cones,
                    wind_mps=wind,
                    surface="dry",
                    remark=remark,
                )
        with at(start + timedelta(minutes=150)):
            signing.sign_statement(
                day=self.day,
                by=driver,
                safe=True,
                remark=self.spec["statement"],
                signed_name=driver.full_name,
                ratings={mass: {aspect.key: 8 for aspect in lane_change().aspects} for mass in ("tm1", "tm2")},
            )
        with at(start + timedelta(minutes=160)):
            signing.countersign(day=self.day, by=engineer, safe=True, remark="", signed_name=engineer.full_name)
        with at(start + timedelta(hours=25)):
            self.state_what_is_met()
        with at(start + timedelta(hours=26)):
            self.move_on("engineer")
            issue(job=self.job, by=engineer, secret=self.secret)

    def state_what_is_met(self):
        files = {document.caption: document for document in self.job.vehicle.documents.all()}
        said = {
            code: {**parts, "documents": [files[caption] for caption in parts.get("documents", ())]}
            for code, parts in self.spec["met"].items()
        }
        meeting.say(job=self.job, by=self.people["engineer"], said=said)

    def load(self, mass):
        loading.record_loading(
            day=self.day,
            by=self.people["engineer"],
            mass=mass,
            places={item.key: item.kg for item in loading.plan(self.day, mass)},
            front_kg=None,
            rear_kg=None,
            restrained=True,
            sent_as=uuid.uuid4(),
            remark="Water canisters in racks, strapped to the seat anchorages",
        )

    def move_on(self, username):
        self.job = stages.move_on(self.job, by=self.people[username], expected=self.job.stage)


def add_forecast(scenario):
    """Hour by hour from a week ago, so that the past days of the story have their weather too."""
    weather = scenario["weather"]
    site = Site.objects.get(name=weather["site"])
    midnight = datetime.combine(timezone.localdate(timezone=site.zone), time(0), site.zone)
    # Counted in UTC: where the clocks change, a day has 23 or 25 hours and none comes twice.
    first = midnight.astimezone(UTC) - timedelta(days=8)
    kinds = ["calm"] * 8 + weather["days"]
    rows = []
    for index, kind in enumerate(kinds):
        hours = weather["kinds"][kind]
        for hour, wind in enumerate(hours["wind"]):
            rows.append(
                Reading(
                    starts_at=first + timedelta(days=index, hours=hour),
                    wind_mps=wind,
                    gust_mps=round(wind * 1.2, 1) if wind > 3 else wind,
                    rain_mm=hours["rain"][hour] if hours["rain"] else 0.0,
                )
            )
    keeping.store(site=site, readings=rows, origin=weather["origin"], by=User.objects.get(username="engineer"))


def add_past(scenario):
    """A year of the past, so that the planner knows how likely a morning is beyond the forecast."""
    weather = scenario["weather"]
    site = Site.objects.get(name=weather["site"])
    today = datetime.combine(timezone.localdate(timezone=site.zone), time(0), site.zone).astimezone(UTC)
    rows = []
    for day in range(365):
        hours = weather["kinds"][weather["past"][day % len(weather["past"])]]
        windier = 1 + 0.02 * (day % 11)
        for hour, wind in enumerate(hours["wind"]):
            rows.append(
                Reading(
                    starts_at=today - timedelta(days=365 - day, hours=-hour),
                    wind_mps=round(wind * windier, 2),
                    gust_mps=None,
                    rain_mm=hours["rain"][hour] if hours["rain"] else 0.0,
                )
            )
    climate.store_past(site=site, readings=rows)
