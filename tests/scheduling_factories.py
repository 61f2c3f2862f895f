"""A job that is ready to be planned, and a forecast to plan it with."""

from datetime import datetime, time, timedelta

import factory
from django.db import transaction
from django.utils import timezone

from testing.models import Instrument
from testing.scheduling import keeping
from testing.scheduling.local_times import to_utc
from testing.scheduling.records import Reading
from tests.factories import CoverFactory, CrewMemberFactory, JobFactory, SiteFactory

HOUR = timedelta(hours=1)


def in_days(number):
    return timezone.localdate() + timedelta(days=number)


@transaction.atomic
def ready_job(**kwargs):
    """A job at the step of scheduling, with a cover that is high enough."""
    job = JobFactory(stage="scheduling", **kwargs)
    CoverFactory(job=job)
    return job


def level_site(**kwargs):
    return SiteFactory(level=True, **kwargs)


def at(site, day, clock="06:00"):
    """The moment at which the site's clock shows this on that day."""
    return to_utc(datetime.combine(day, time.fromisoformat(clock)), site.zone)


def wanted(*, site=None, driver=None, day=None, clock="06:00", hours=4):
    """What a booking takes, complete and possible unless the test says otherwise."""
    site = site or level_site()
    return {
        "site": site,
        "driver": driver or CrewMemberFactory(),
        "starts_at": at(site, day or in_days(20), clock),
        "hours": hours,
    }


def keep_weather(site, day, *, by, wind=2.0, rain=0.0, first="00:00", hours=24, **different):
    """A record of that day; `h07={"wind_mps": 4}` makes one hour of it different."""
    start = at(site, day, first)
    readings = []
    for number in range(hours):
        starts_at = start + timedelta(hours=number)
        local = starts_at.astimezone(site.zone)
        values = {"wind_mps": wind, "gust_mps": wind + 1 if wind is not None else None, "rain_mm": rain}
        readings.append(Reading(starts_at=starts_at, **{**values, **different.get(f"h{local:%H}", {})}))
    return keeping.store(site=site, readings=readings, origin="test record", by=by)


def calibrated(kind, **facts):
    """An instrument of that kind, in calibration for a year unless the test says otherwise."""
    given = {"certificate": "Ironbark Metrology 26-0311", "valid_to": in_days(365), **facts}
    return InstrumentFactory(kind=kind, **given)


class InstrumentFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Instrument

    kind = "gps_speed"
    name = factory.Sequence(lambda n: f"Box {n}")
    serial = factory.Sequence(lambda n: f"SN-{n:04d}")
