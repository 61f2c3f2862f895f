"""Many people book at the same moment: the database lets exactly one have it."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from jobs.refused import Refused
from testing.models import BookedSlot, Booking
from testing.scheduling import services
from tests.factories import CrewMemberFactory
from tests.scheduling_factories import in_days, level_site, ready_job, wanted

pytestmark = pytest.mark.django_db(transaction=True)
AT_ONCE = 8


def at_once(acts):
    """Run all acts at the same moment, each on its own connection; what each said, or None."""
    start = threading.Barrier(len(acts))

    def run(act):
        try:
            start.wait(timeout=30)
            act()
        except Refused as refused:
            return str(refused)
        finally:
            connection.close()
        return None

    with ThreadPoolExecutor(max_workers=len(acts)) as pool:
        return list(pool.map(run, acts))


def booking_of(job, by, **takes):
    return lambda: services.book(by=by, job=job, **takes)


def test_one_site_many_jobs(engineer):
    site, day = level_site(), in_days(20)
    acts = [booking_of(ready_job(), engineer, **wanted(site=site, day=day)) for _ in range(AT_ONCE)]
    said = at_once(acts)
    assert said.count(None) == 1
    assert all(f"{site} is taken" in text for text in said if text)
    assert Booking.objects.count() == 1
    assert BookedSlot.objects.filter(resource=f"site:{site.pk}").count() == 16


def test_one_driver_many_sites(engineer):
    driver, day = CrewMemberFactory(), in_days(20)
    said = at_once([booking_of(ready_job(), engineer, **wanted(driver=driver, day=day)) for _ in range(AT_ONCE)])
    assert said.count(None) == 1
    assert all(f"{driver} is taken" in text for text in said if text)


def test_one_job_many_days(engineer):
    job = ready_job()
    said = at_once([booking_of(job, engineer, **wanted(day=in_days(20 + number))) for number in range(AT_ONCE)])
    assert said.count(None) == 1
    assert all("has a booking already" in text for text in said if text)


def test_two_jobs_that_change_places_never_deadlock(engineer):
    """Each wants what the other holds: each is refused or moved, and nothing is lost."""
    site, driver, other = level_site(), CrewMemberFactory(), CrewMemberFactory()
    morning = wanted(site=site, driver=driver, clock="06:00")
    noon = wanted(site=site, driver=other, clock="12:00")
    one, two = ready_job(), ready_job()
    services.book(by=engineer, job=one, **morning)
    services.book(by=engineer, job=two, **noon)
    said = at_once(
        [
            lambda: services.move(by=engineer, job=one, reason="swap", **noon),
            lambda: services.move(by=engineer, job=two, reason="swap", **morning),
        ]
    )
    assert all("is taken" in text for text in said)
    assert {services.standing_booking(job).local_start.hour for job in (one, two)} == {6, 12}
