"""Test days as the tests need them: made by the same services as in the workshop, not by inserting rows."""

import uuid
from contextlib import contextmanager
from datetime import timedelta
from unittest import mock

from django.utils import timezone

from jobs.models import Job
from testing.models import Booking, TestDay
from testing.testday import loading
from testing.testday.checks import confirm
from testing.testday.opening import open_day
from testing.testday.procedure import lane_change
from testing.testday.recording import record_run
from testing.triage import decision
from tests.factories import CoverFactory

# No instrument is booked in most worlds of the tests: then each is named on the day.
NAMED = {item.key: "no. 7, calibrated until 30/06/2027" for item in lane_change().checks if item.instrument}
# Runs that arrive late were driven after the checks.
EARLIER = timedelta(hours=6)
LADDER = (80, 90, 100, 110)
GOOD = {
    "wind_mps": 1.5,
    "surface": "dry",
    "outcome": "clean",
    "cones_moved": 0,
    "remark": "",
}


def sign_triage(job, *, engineer):
    """Signed, with what the rules leave to the engineer decided."""
    for line in decision.triage_of(job).open_lines:
        need = "required" if line.computed["code"] == decision.LANE_CHANGE else "not_required"
        decision.override(job=job, by=engineer, code=line.computed["code"], need=need, reason="decided for the test")
    return decision.sign(job=job, by=engineer)


def ready_job(job, *, engineer):
    """The job with a signed triage and cover, standing at the test day."""
    sign_triage(job, engineer=engineer)
    CoverFactory(job=job)
    Job.objects.filter(pk=job.pk).update(stage="testday")
    job.refresh_from_db()
    return job


def book(job, *, site, driver, engineer, days=0):
    """A standing booking at nine in the morning of that day at the site."""
    morning = timezone.localtime(timezone=site.zone).replace(hour=9, minute=0, second=0, microsecond=0)
    start = morning + timedelta(days=days)
    return Booking.objects.create(
        job=job, site=site, driver=driver, starts_at=start, ends_at=start + timedelta(hours=3), booked_by=engineer
    )


def opened_day(job, *, site, driver, engineer):
    ready_job(job, engineer=engineer)
    book(job, site=site, driver=driver, engineer=engineer)
    return open_day(job=job, by=engineer)


def confirm_all(day, *, by):
    """All checks confirmed, and the vehicle loaded to Test Mass 1: ready for the first run."""
    confirm(
        day=day, keys=[item.key for item in lane_change().checks], by=by, notes=NAMED, done_at=timezone.now() - EARLIER
    )
    load(day, by=by, mass="tm1")


def load(day, *, by, mass, **changed):
    """The plan of a mass, really loaded."""
    wanted = {
        "places": {item.key: item.kg for item in loading.plan(day, mass)},
        "front_kg": None,
        "rear_kg": None,
        "restrained": True,
        "sent_as": uuid.uuid4(),
        **changed,
    }
    return loading.record_loading(day=day, by=by, mass=mass, **wanted)[0]


def drive(day, *, by, mass="tm1", aimed=80, **changed):
    """One run as given, clean and within all limits where nothing else is said; loaded first where it must be."""
    if loading.missing(day, mass=mass):
        load(day, by=by, mass=mass)
    seen = {"measured_kmh": aimed + 0.4, **GOOD, **changed}
    run, _ = record_run(day=day, by=by, sent_as=uuid.uuid4(), mass=mass, aimed_kmh=aimed, **seen)
    return run


def climb(day, *, by, mass, to=LADDER[-1]):
    """Clean runs up the ladder at one mass."""
    for speed in LADDER:
        if speed <= to:
            drive(day, by=by, mass=mass, aimed=speed)


def ratings(value=8, **changed):
    """Every aspect rated alike at both masses."""
    given = {aspect.key: value for aspect in lane_change().aspects} | changed
    return {mass: dict(given) for mass in ("tm1", "tm2")}


@contextmanager
def on_the_day(day, minutes=60):
    """Within this block the clock shows the booked date, so many minutes after the start."""
    moment = day.booking.starts_at + timedelta(minutes=minutes)
    with mock.patch.object(timezone, "now", lambda: moment):
        yield


def fresh(day):
    """The day read again: what hangs on it is not remembered."""
    return TestDay.objects.get(pk=day.pk)
