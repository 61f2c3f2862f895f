"""Tampering behind the product's back, by raw SQL with the triggers lifted: always found, and named."""

import io
import json

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection

from certificates import after_issue, lines
from certificates.check import verify_chain
from certificates.models import Certificate, RegisterLine
from certificates.seal import seal_of, sha256_of
from certificates.services import issue
from jobs.append_only import open_table
from jobs.models import AuditEntry
from tests.certificates_factories import untested_job
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db(transaction=True)
TABLE = "certificates_certificate"


@pytest.fixture
def issued(plain_papers):
    """Three certificates, with the guards of the database taken away."""
    engineer = UserFactory(roles=["engineer"], authority_number="SIG-0042")
    certificates = [issue(job=untested_job(engineer), by=engineer) for _ in range(3)]
    with connection.schema_editor() as editor:
        open_table(editor, TABLE)
        open_table(editor, AuditEntry._meta.db_table)
    return certificates


def sql(statement, *values):
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def put(certificate, **columns):
    for name, value in columns.items():
        value = json.dumps(value) if isinstance(value, dict) else value
        sql(f"UPDATE {TABLE} SET {name} = %s WHERE id = %s", value, certificate.pk)  # noqa: S608


def found():
    return [(problem.number, problem.what) for problem in verify_chain()]


def test_an_untouched_register_holds(issued):
    out = io.StringIO()
    call_command("register_check", stdout=out)
    assert "3 certificates, every seal holds" in out.getvalue()
    assert issued[-1].seal in out.getvalue()


@pytest.mark.parametrize("which", [0, 1, 2])
def test_a_changed_column_is_found_whichever_it_is(issued, which):
    certificate = issued[which]
    other = UserFactory(username="somebody-else").pk
    job = untested_job(certificate.issued_by).pk
    changes = {
        "number": "C1999-0001",
        "position": 77,
        "job_id": job,
        "replaces_id": issued[0 if which else 1].pk,
        "check_code": "A" * 20,
        "previous_seal": "f" * 64,
        "seal": "e" * 64,
        "certificate_sha256": "d" * 64,
        "report_sha256": "c" * 64,
        "certificate_pdf": "certificates/none.pdf",
        "report_pdf": certificate.certificate_pdf.name,
        "plate": "OTHER1",
        "vin": "6T1BANKS1A0999999",
        "owner_name": "Somebody Else",
        "issued_on": "2001-02-03",
        "issued_by_id": other,
        "issued_at": "2001-02-03 04:05:06+00:00",
    }
    held = {field.column for field in Certificate._meta.fields} - {"id", "record"}
    assert set(changes) == held, "a column that this test forgets"
    for column, value in changes.items():
        before = getattr(certificate, column)
        put(certificate, **{column: value})
        assert found(), f"{column} changed and not found"
        put(certificate, **{column: getattr(before, "name", before)})
        assert found() == [], f"{column} was put back"


def leaves(data, path=()):
    """Every value in a record, with the way to it."""
    if isinstance(data, dict | list) and data:
        for key, value in data.items() if isinstance(data, dict) else enumerate(data):
            yield from leaves(value, (*path, key))
    else:
        yield path, data


def changed(record, path):
    """The record with one value changed as little as possible."""
    copy = json.loads(json.dumps(record))
    at = copy
    for key in path[:-1]:
        at = at[key]
    old = at[path[-1]]
    if isinstance(old, bool):
        at[path[-1]] = not old
    elif isinstance(old, int | float):
        at[path[-1]] = old + (1 if isinstance(old, int) else 0.001)
    elif isinstance(old, str):
        at[path[-1]] = f"{old}."
    else:
        at[path[-1]] = "something"
    return copy


def test_any_changed_value_of_a_record_is_found(issued):
    certificate = issued[1]
    record = certificate.record
    paths = [path for path, _ in leaves(record)]
    assert len(paths) > 60
    for path in paths:
        put(certificate, record=changed(record, path))
        assert certificate.number in [number for number, _ in found()], path
    put(certificate, record=record)
    assert found() == []


def test_a_changed_record_sealed_again_breaks_the_next_one(issued):
    first, second, _ = issued
    forged = changed(first.record, ("triage", "signed_by"))
    put(first, record=forged, seal=seal_of(forged, first.previous_seal))
    assert (second.number, f"it was not sealed behind {first.number}") in found()


def test_a_removed_certificate_is_found_wherever_it_stood(issued):
    for which, certificate in enumerate(issued):
        row = Certificate.objects.filter(pk=certificate.pk).values().get()
        RegisterLine.objects.filter(certificate=certificate).delete()
        sql(f"DELETE FROM {TABLE} WHERE id = %s", certificate.pk)  # noqa: S608
        wrong = found()
        removed = f"issued for {certificate.job.number} according to its audit trail, and no longer in the register"
        assert (certificate.number, removed) in wrong
        if which < 2:
            assert issued[which + 1].number in [number for number, _ in wrong]
        else:
            assert any("3 certificates were issued, the register ends at 2" in what for _, what in wrong)
        Certificate.objects.bulk_create([Certificate(**row)])
        lines.add(certificate)
        assert found() == []


def test_two_certificates_that_change_places_are_found(issued):
    first, second, _ = issued
    put(first, position=99)
    put(second, position=1)
    put(first, position=2)
    numbers = {number for number, _ in found()}
    assert {first.number, second.number} <= numbers


def test_an_inserted_certificate_is_found(issued):
    last = issued[-1]
    job = untested_job(last.issued_by)
    row = Certificate.objects.filter(pk=last.pk).values().get()
    number = last.number.replace("-0003", "-0004")
    record = {**last.record, "number": number, "position": 4, "check": {"code": "B" * 20, "address": "none"}}
    record["job"] = {**record["job"], "number": job.number}
    forged = {"id": None, "number": number, "position": 4, "job_id": job.pk, "record": record, "check_code": "B" * 20}
    forged |= {"previous_seal": last.seal, "seal": seal_of(record, last.seal)}
    Certificate.objects.bulk_create([Certificate(**{**row, **forged})])
    wrong = [what for number, what in found() if number == record["number"]]
    assert "the audit trail of the job tells another seal or other papers" in wrong
    assert any("certificates were issued" in what for what in wrong)


def test_a_pdf_exchanged_together_with_its_hash_is_found(issued):
    last = issued[-1]
    name = default_storage.save("certificates/forged.pdf", io.BytesIO(b"%PDF-forged"))
    put(last, report_pdf=name, report_sha256=sha256_of(b"%PDF-forged"))
    assert found() == [(last.number, "the audit trail of the job tells another seal or other papers")]


@pytest.mark.parametrize("act", ["change", "remove"])
def test_a_file_changed_or_gone_is_found(issued, act):
    certificate = issued[1]
    name = certificate.report_pdf.name
    default_storage.delete(name)
    if act == "change":
        default_storage.save(name, io.BytesIO(b"%PDF-other"))
    assert [number for number, _ in found()] == [certificate.number]
    assert list(verify_chain(with_files=False)) == []


def test_the_command_says_which_and_where_and_fails(issued):
    certificate = issued[1]
    put(certificate, owner_name="Somebody Else")
    out = io.StringIO()
    with pytest.raises(CommandError) as stopped:
        call_command("register_check", stdout=out)
    assert stopped.value.returncode == 1
    assert f"{certificate.number} at position 2: the register shows owner" in out.getvalue()


def test_a_changed_or_removed_entry_of_the_trail_is_found_whichever_it_is(issued):
    first, second, third = issued
    by = first.issued_by
    after_issue.withdraw(subject=second, by=by, reason="Recalled")
    after_issue.note_transfer(subject=third, by=by, new_owner="Nora", on=third.issued_on, evidence="Papers")
    later = after_issue.correct(certificate=first, by=by, changes={"plate": "NEW01"}, reason="Typed wrong")
    assert found() == []
    stranger = UserFactory(username="stranger").pk
    table = AuditEntry._meta.db_table
    entries = AuditEntry.objects.filter(job__certificate__in=[first, second, third, later]).distinct()
    # Closing the file follows the seal; no certificate says anything of it.
    for entry in entries.exclude(what__startswith="Certify done"):
        row = AuditEntry.objects.filter(pk=entry.pk).values().get()
        changes = {"by_id": stranger, "what": "Nothing", "details": '{"a": 1}', "at": "2001-02-03 04:05:06+00:00"}
        for column, value in changes.items():
            sql(f"UPDATE {table} SET {column} = %s WHERE id = %s", value, entry.pk)  # noqa: S608
            assert found(), (entry.what, column)
            before = json.dumps(row[column]) if column == "details" else row[column]
            sql(f"UPDATE {table} SET {column} = %s WHERE id = %s", before, entry.pk)  # noqa: S608
        sql(f"DELETE FROM {table} WHERE id = %s", entry.pk)  # noqa: S608
        assert found(), entry.what
        AuditEntry.objects.bulk_create([AuditEntry(**row)])
        sql(f"UPDATE {table} SET at = %s WHERE id = %s", row["at"], entry.pk)  # noqa: S608
    assert found() == []
