"""Jobs that have come as far as certifying, through the services that testing itself uses."""

import io
import uuid
from datetime import UTC, datetime, timedelta

from django.core.files.base import ContentFile
from django.db import transaction

from certificates import meeting
from certificates.seal import sha256_of
from jobs.models import Job
from testing.models import Booking, DriverStatement, DrivingReport, Run
from testing.testday.models import Countersignature
from testing.testday.opening import open_day
from testing.triage import decision
from tests.factories import CoverFactory, CrewMemberFactory, JobFactory, SiteFactory
from vehicles.models import Document

STARTS = datetime(2026, 3, 4, 20, 30, tzinfo=UTC)
LADDER = (80, 90, 100, 110)


def sign_triage(job, engineer):
    """Settle what the rules leave to the engineer, and sign."""
    for line in decision.triage_of(job).open_lines:
        code = line.computed["code"]
        decision.override(job=job, by=engineer, code=code, need="required", reason="The kit's papers cover it.")
    return decision.sign(job=job, by=engineer)


def state(job, engineer):
    """Say of every line that waits for the engineer's word what is behind it: the photos, or the inspection."""
    photos = list(job.vehicle.documents.filter(kind="photo"))
    said = {
        line.code: {"documents": photos if line.code == "PHOTOS" else [], "words": f"Seen and in order: {line.title}"}
        for line in meeting.asked(job)
    }
    return meeting.say(job=job, by=engineer, said=said)


def at_stage(job, stage):
    Job.objects.filter(pk=job.pk).update(stage=stage)
    return Job.objects.get(pk=job.pk)


def day_of_testing(job, engineer, *, safe=True, driver=None, site=None, instruments=()):
    """A test day with a failed run, a struck run, one that does not count, and clean ones to the target."""
    booking = Booking.objects.create(
        job=job,
        site=site or SiteFactory(),
        driver=driver or CrewMemberFactory(),
        starts_at=STARTS,
        ends_at=STARTS + timedelta(hours=3),
        booked_by=engineer,
    )
    booking.instruments.set(instruments)
    CoverFactory(job=job)
    day = open_day(job=at_stage(job, "testday"), by=engineer)
    run(day, engineer, "tm1", 80, outcome="cones", cones_moved=2, remark="Entered late")
    run(day, engineer, "tm1", 80, counts=False, not_counting_because="Wind of 3.4 m/s is above 3 m/s.", wind_mps=3.4)
    for mass in ("tm1", "tm2"):
        for speed in LADDER:
            run(day, engineer, mass, speed)
    statement = DriverStatement.objects.create(
        day=day, driver=booking.driver, safe=safe, remark="Steady.", signed_name=booking.driver.name, by=engineer
    )
    Countersignature.objects.create(
        statement=statement, safe=safe, signed_name=engineer.full_name, authority_number="SIG-0042", by=engineer
    )
    return day


def run(day, by, mass, speed, **details):
    number = day.runs.count() + 1
    details = {
        "measured_kmh": speed + 0.6,
        "outcome": "clean",
        "wind_mps": 1.2 + number / 10,
        "surface": "dry",
        "counts": True,
        **details,
    }
    return Run.objects.create(
        day=day, number=number, mass=mass, aimed_kmh=speed, sent_as=uuid.uuid4(), by=by, **details
    )


def photo(job, caption="Front left wheel, raised", *, colour="#8899aa", size=(640, 480)):
    from PIL import Image

    target = io.BytesIO()
    Image.new("RGB", size, colour).save(target, "JPEG")
    return document(job, target.getvalue(), caption=caption, kind="photo", content_type="image/jpeg")


def document(job, content, *, caption, kind="paper", content_type="application/pdf"):
    return Document.objects.create(
        vehicle=job.vehicle,
        kind=kind,
        caption=caption,
        file=ContentFile(content, name="file"),
        original_name="file",
        content_type=content_type,
        sha256=sha256_of(content),
    )


@transaction.atomic
def ready_job(engineer, **details):
    """Tested and passed, waiting for the signature."""
    job = JobFactory(**details)
    sign_triage(job, engineer)
    day_of_testing(job, engineer)
    photo(job)
    state(job, engineer)
    return at_stage(job, "certification")


@transaction.atomic
def heavy_job(engineer, *, safe=True):
    """Above 3,500 kg: the certifier's driving report instead of the lane change."""
    job = JobFactory(vehicle__adr_category="NB1", vehicle__gvm_kg=4490.0)
    sign_triage(job, engineer)
    DrivingReport.objects.create(
        job=job,
        driven_on=STARTS.date(),
        conditions="Sealed country road, dry, half laden",
        handling="Steady in quick lane changes at 80 km/h; understeers mildly.",
        safe=safe,
        by=engineer,
    )
    state(job, engineer)
    return at_stage(job, "certification")


@transaction.atomic
def untested_job(engineer):
    """A small change that calls for no test at all."""
    job = JobFactory(modifications=[("suspension_lift", {"front_mm": 20.0, "rear_mm": 20.0})])
    sign_triage(job, engineer)
    state(job, engineer)
    return at_stage(job, "certification")


def record_for(job, *, number, issued_on):
    """As much of a record as the register shows of it."""
    vehicle = job.vehicle
    return {
        "number": number,
        "issued_on": issued_on.isoformat(),
        "signatory": {"name": "Edda Engineer", "authority_number": "SIG-0042"},
        "outcome": {"code": "no_test_required", "title": "No driving test required", "statement": "None was due."},
        "job": {"number": job.number, "jurisdiction": job.jurisdiction},
        "owner": {"name": job.owner.name},
        "vehicle": {"name": vehicle.name, "plate": vehicle.plate, "vin": vehicle.vin},
        "modifications": [{"kind": mod.kind} for mod in vehicle.modifications.all()],
        "triage": {"requirements": [{"code": "LT2", "need": "required"}, {"code": "LS9", "need": "not_required"}]},
        "test_days": [],
    }
