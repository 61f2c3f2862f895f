"""What was done is written once: refused by the model, the queryset and the database itself."""

import pytest
from django.db import DatabaseError, connection, transaction

from jobs.append_only import Immutable
from jobs.audit import record
from jobs.models import AuditEntry

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(job, desk):
    return record(job, desk, "Something was done", amount=3)


def test_it_reads_as_it_was_written(as_, engineer, job, entry):
    assert "Something was done" in as_(engineer).get(f"/jobs/{job.number}/audit-trail/").content.decode()


def test_the_model_refuses(entry):
    entry.what = "Something else"
    with pytest.raises(Immutable):
        entry.save()
    with pytest.raises(Immutable):
        entry.delete()


@pytest.mark.parametrize("act", [lambda rows: rows.update(what="x"), lambda rows: rows.delete()])
def test_the_queryset_refuses(entry, act):
    with pytest.raises(Immutable):
        act(AuditEntry.objects.all())


@pytest.mark.parametrize("sql", ["UPDATE jobs_auditentry SET what = 'x'", "DELETE FROM jobs_auditentry"])
def test_the_database_refuses(entry, sql):
    with pytest.raises(DatabaseError, match="written once"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
    assert AuditEntry.objects.get().what == "Something was done"
