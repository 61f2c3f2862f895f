"""What was sealed cannot be edited: not through the ORM, not by SQL, not by any page."""

import pytest
from django.db import DatabaseError, connection, transaction

from certificates.check import verify_chain
from certificates.models import Certificate
from certificates.services import issue
from jobs.append_only import Immutable
from jobs.models import Job
from jobs.refused import Refused
from jobs.stages import move_on, send_back
from tests.certificates_factories import untested_job


@pytest.fixture
def issued(engineer, plain_papers):
    return issue(job=untested_job(engineer), by=engineer)


@pytest.mark.parametrize(
    "act",
    [
        lambda c: c.save(),
        lambda c: c.delete(),
        lambda c: Certificate.objects.update(owner_name="Other"),
        lambda c: Certificate.objects.filter(pk=c.pk).delete(),
        lambda c: Certificate.objects.bulk_update([c], ["plate"]),
        lambda c: Certificate.objects.update_or_create(pk=c.pk, defaults={"plate": "OTHER"}),
    ],
    ids=["save", "delete", "update", "queryset delete", "bulk_update", "update_or_create"],
)
def test_the_orm_refuses(issued, act):
    with pytest.raises(Immutable):
        act(issued)
    assert list(verify_chain()) == []


@pytest.mark.parametrize(
    "statement",
    ["UPDATE certificates_certificate SET owner_name = 'Other'", "DELETE FROM certificates_certificate"],
    ids=["update", "delete"],
)
def test_the_database_refuses(issued, statement):
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    assert list(verify_chain()) == []


PAGES = ["owner", "vehicle", "modifications/add/body_lift", "photos", "send-back/triage", "certificate/issue"]


@pytest.mark.parametrize("page", PAGES)
def test_no_page_changes_what_was_sealed(issued, engineer, as_, page):
    before = (issued.record, issued.seal)
    data = {
        "name": "Other",
        "phone": "0491 570 156",
        "make": "Other",
        "model": "Other",
        "reason": "Wrong",
        "declared": "on",
    }
    response = as_(engineer).post(f"/jobs/{issued.job.number}/{page}/", data | {"lift_mm": "20", "kind": "photo"})
    assert response.status_code < 500
    now = Certificate.objects.get()
    assert (now.record, now.seal) == before
    assert Job.objects.get(pk=issued.job_id).done
    assert list(verify_chain()) == []


def test_the_job_neither_moves_on_nor_back(issued, engineer):
    assert move_on(issued.job, by=engineer, expected="certification").done
    with pytest.raises(Refused):
        send_back(issued.job, to="triage", by=engineer, reason="Wrong")


def test_the_step_is_not_left_without_a_certificate(engineer):
    job = untested_job(engineer)
    with pytest.raises(Refused, match="No certificate is issued yet"):
        move_on(job, by=engineer, expected="certification")
