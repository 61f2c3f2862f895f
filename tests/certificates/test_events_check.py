"""Tampering with what happened after issue, with imports and with the search: always found, and named."""

import json
from uuid import UUID

import pytest
from django.db import IntegrityError, connection

from certificates import after_issue, audits, importing
from certificates.check import verify_chain
from certificates.event_check import check_events
from certificates.line_check import rebuild
from certificates.models import Audit, Event, ImportedCertificate, RegisterKey, RegisterLine
from certificates.seal import seal_of
from certificates.services import issue
from jobs.append_only import open_table
from tests.certificates.test_register_check import changed, leaves
from tests.certificates_factories import untested_job
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def life(plain_papers, tmp_path):
    """Certificates with a past: one corrected, one withdrawn, one imported, a sample with a finding."""
    engineer = UserFactory(roles=["engineer"], authority_number="SIG-0042")
    first, second = (issue(job=untested_job(engineer), by=engineer) for _ in range(2))
    after_issue.correct(certificate=first, by=engineer, changes={"plate": "NEW01"}, reason="Typed wrong")
    after_issue.withdraw(subject=second, by=engineer, reason="Recalled")
    table = tmp_path / "old.csv"
    table.write_text("number,issued_on,owner,plate,pdf\nOLD/1,2011-02-03,Olive,OLD1,a.pdf\n")
    (tmp_path / "a.pdf").write_bytes(b"%PDF-1.4 old")
    list(importing.run(file=table, pdfs=tmp_path, by=engineer))
    audit = audits.draw(by=engineer, criteria={}, size=2)
    auditor = UserFactory(username="the-auditor", roles=["auditor"])
    finding = audits.find_fault(
        subject=second, by=auditor, text="Faint", grade="minor", audit=audit, sent_as=UUID(int=12)
    )
    audits.follow_up(finding=finding, by=auditor, text="Printed anew", closes=True)
    with connection.schema_editor() as editor:
        for model in (Event, ImportedCertificate, Audit):
            open_table(editor, model._meta.db_table)
    assert found() == []
    return engineer


def found():
    return [str(problem) for problem in verify_chain()]


def put(row, **columns):
    table = row._meta.db_table
    for name, value in columns.items():
        value = json.dumps(value) if isinstance(value, dict | list) else value
        with connection.cursor() as cursor:
            cursor.execute(f"UPDATE {table} SET {name} = %s WHERE {row._meta.pk.column} = %s", [value, row.pk])  # noqa: S608


def others(model, changes):
    """Every column of the table is either changed by the test or the key itself."""
    held = {field.column for field in model._meta.fields} - {"id", "record", "criteria"}
    assert set(changes) == held, "a column that this test forgets"
    return changes


def test_any_changed_column_of_an_event_is_found(life):
    events = list(Event.objects.order_by("position"))
    stranger = UserFactory(username="stranger").pk
    for event in events:
        elsewhere = Event.objects.exclude(certificate=event.certificate_id).exclude(certificate=None)[0]
        changes = {
            "position": 77,
            "kind": "transferred" if event.kind != "transferred" else "finding",
            "certificate_id": elsewhere.certificate_id if event.certificate_id else None,
            "imported_id": None,
            "audit_id": None,
            "answers_id": event.pk,
            "previous_seal": "f" * 64,
            "seal": "e" * 64,
            "by_id": stranger,
            "at": "2001-02-03 04:05:06+00:00",
            "sent_as": UUID(int=13).hex,
        }
        for column, value in others(Event, changes).items():
            before = Event.objects.filter(pk=event.pk).values_list(column, flat=True)[0]
            before = before.hex if column == "sent_as" and before else before
            if value == before or (column == "imported_id" and event.imported_id):
                continue
            try:
                put(event, **{column: value})
            except IntegrityError:
                continue  # the database itself refuses it
            assert found(), f"{column} of event {event.position}"
            put(event, **{column: before})
    assert found() == []


def test_any_changed_value_of_an_events_record_is_found(life):
    for event in Event.objects.order_by("position"):
        for path, _ in leaves(event.record):
            put(event, record=changed(event.record, path))
            assert list(check_events()), (event.position, path)
        put(event, record=event.record)
    assert found() == []


def test_a_removed_event_is_found_wherever_it_stood(life):
    for event in Event.objects.filter(answered_by=None).order_by("position"):
        row = Event.objects.filter(pk=event.pk).values().get()
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM certificates_event WHERE id = %s", [event.pk])
        assert found(), event.position
        Event.objects.bulk_create([Event(**row)])
    assert found() == []


def test_a_withdrawal_taken_back_by_sealing_everything_anew_is_seen_against_a_head_kept_outside(life):
    from certificates import head

    kept = head.as_text()
    assert head.faults(kept) == []
    last = Event.objects.order_by("-position").first()
    record = {**last.record, "text": "Nothing"}
    put(last, record=record, seal=seal_of(record, last.previous_seal))
    assert found() == []
    (fault,) = head.faults(kept)
    assert "another seal" in fault


def test_any_change_of_an_import_is_found(life):
    one = ImportedCertificate.objects.get()
    changes = {
        "number": "OLD/2",
        "issued_on": "2011-02-04",
        "pdf": "imported/other.pdf",
        "pdf_sha256": "a" * 64,
        "imported_by_id": UserFactory(username="stranger").pk,
        "imported_at": "2001-02-03 04:05:06+00:00",
    }
    for column, value in others(ImportedCertificate, changes).items():
        before = ImportedCertificate.objects.filter(pk=one.pk).values_list(column, flat=True)[0]
        put(one, **{column: value})
        assert found(), column
        put(one, **{column: before})
    for path, _ in leaves(one.record):
        put(one, record=changed(one.record, path))
        assert found(), path
    put(one, record=one.record)
    assert found() == []


def test_how_a_sample_was_drawn_cannot_be_changed_unseen(life):
    audit = Audit.objects.get()
    changes = {
        "seed": "0" * 32,
        "population": 9,
        "size": 1,
        "lines_up_to": 1,
        "number": "A2001-001",
        "numbers": "audits/other.txt",
        "numbers_sha256": "0" * 64,
        "certificates_up_to": 1,
        "events_up_to": 1,
        "by_id": UserFactory(username="stranger").pk,
        "drawn_at": "2001-02-03 04:05:06+00:00",
    }
    for column, value in others(Audit, changes).items():
        before = Audit.objects.filter(pk=audit.pk).values_list(column, flat=True)[0]
        put(audit, **{column: value})
        assert found(), column
        put(audit, **{column: before})
    put(audit, criteria={"q": "other"})
    assert found()
    put(audit, criteria={})
    assert found() == []


def test_a_search_that_tells_something_else_is_found_and_made_anew(life):
    line = RegisterLine.objects.order_by("place").last()
    columns = {"number": "X", "owner": "Other", "state": "valid" if line.state != "valid" else "withdrawn", "vin": "V"}
    for column, value in columns.items():
        RegisterLine.objects.filter(pk=line.pk).update(**{column: value})
        assert any(line.number in problem or "X" in problem for problem in found()), column
        assert rebuild() == 4
        assert found() == []
    RegisterKey.objects.filter(line=line).first().delete()
    assert any("words it is found by" in problem for problem in found())
    RegisterKey.objects.filter(line=line).delete()
    line.delete()
    assert any("it is not found" in problem for problem in found())
    assert rebuild() == 4
    assert found() == []
