"""Two signatures in the same moment: consecutive numbers, one chain, no deadlock, one certificate for a job."""

import threading

import pytest
from django.db import connection

from certificates.check import verify_chain
from certificates.models import Certificate
from certificates.services import issue
from tests.certificates_factories import untested_job
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db(transaction=True)


def _at_once(acts):
    gate, failures = threading.Barrier(len(acts)), []

    def run(act):
        try:
            gate.wait(10)
            act()
        except Exception as error:
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(act,)) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert failures == []


def test_jobs_issued_at_once_get_consecutive_numbers_and_one_chain():
    engineer = UserFactory(roles=["engineer"], authority_number="SIG-0042")
    jobs = [untested_job(engineer) for _ in range(4)]
    _at_once([lambda job=job: issue(job=job, by=engineer) for job in jobs])
    issued = Certificate.objects.order_by("position")
    assert [c.position for c in issued] == [1, 2, 3, 4]
    assert [c.number[-4:] for c in issued] == ["0001", "0002", "0003", "0004"]
    assert list(verify_chain()) == []


def test_one_job_signed_twice_at_once_gets_one_certificate():
    engineer = UserFactory(roles=["engineer"], authority_number="SIG-0042")
    job = untested_job(engineer)
    _at_once([lambda: issue(job=job, by=engineer)] * 3)
    assert Certificate.objects.get().position == 1
    assert list(verify_chain()) == []
