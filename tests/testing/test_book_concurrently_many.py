"""Two hundred attempts at one slot: the database lets exactly one have it, and the others hear why."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection, transaction

from jobs.refused import Refused
from testing.models import BookedSlot, Booking
from testing.scheduling import services
from tests.factories import CoverFactory, CrewMemberFactory, JobFactory
from tests.scheduling_factories import calibrated, in_days, level_site, wanted

pytestmark = pytest.mark.django_db(transaction=True)
ATTEMPTS = 200
# As many as a server of ordinary settings gives connections to; the others wait for one, as behind any pool.
CONNECTIONS = 60


@transaction.atomic
def many_jobs():
    jobs = [JobFactory(stage="scheduling", modifications=[]) for _ in range(ATTEMPTS)]
    for job in jobs:
        CoverFactory(job=job)
    return jobs


def test_two_hundred_attempts_at_one_slot(engineer):
    jobs, site, gps = many_jobs(), level_site(), calibrated("gps_speed")
    takes = {**wanted(site=site, driver=CrewMemberFactory(), day=in_days(20)), "instruments": [gps]}
    start, gate = threading.Barrier(ATTEMPTS), threading.Semaphore(CONNECTIONS)

    def attempt(job):
        start.wait(timeout=60)
        with gate:
            try:
                services.book(by=engineer, job=job, **takes)
            except Refused as refused:
                return str(refused)
            finally:
                connection.close()
        return None

    with ThreadPoolExecutor(max_workers=ATTEMPTS) as pool:
        said = list(pool.map(attempt, jobs))

    assert said.count(None) == 1
    assert all(f"{site} is taken" in text and "Choose another time." in text for text in said if text)
    assert Booking.objects.count() == 1
    assert set(BookedSlot.objects.values_list("booking", flat=True)) == {Booking.objects.get().pk}
    assert BookedSlot.objects.filter(resource=f"instrument:{gps.pk}").count() == 16


def test_people_and_instruments_at_many_sites(engineer):
    """Each attempt is at a site of its own; one wants the driver, one the observer, one the instrument."""
    person, gps = CrewMemberFactory(), calibrated("gps_speed")
    acts = []
    for job in many_jobs()[:12]:
        mine = [{"driver": person}, {"observers": [person]}, {"instruments": [gps], "observers": [person]}]
        takes = {**wanted(day=in_days(20)), **mine[len(acts) % 3]}
        acts.append(lambda job=job, takes=takes: services.book(by=engineer, job=job, **takes))
    start = threading.Barrier(len(acts))

    def run(act):
        start.wait(timeout=30)
        try:
            act()
        except Refused as refused:
            return str(refused)
        finally:
            connection.close()
        return None

    with ThreadPoolExecutor(max_workers=len(acts)) as pool:
        said = list(pool.map(run, acts))
    assert said.count(None) == 1
    assert all(f"{person} is taken" in text for text in said if text)
