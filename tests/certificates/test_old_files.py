"""What certificates add to the keeping of files: later days that count, and the contact of a new owner."""

import io
import json
import zipfile
from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from certificates import after_issue, import_batches, importing, old_files
from certificates.check import verify_chain
from certificates.models import Certificate, ImportedCertificate, NewOwnerContact
from jobs import outbox
from jobs.models import Job, Workshop
from jobs.retention import erasing, rule


@pytest.fixture
def on(monkeypatch):
    """`on(day)`: the house lives on that day, as far as keeping is concerned."""
    return lambda day: monkeypatch.setattr(rule, "today", lambda: day)


@pytest.fixture
def filed(plain):
    """The certificate, its job closed long before it was issued: so the certificate alone decides."""
    Job.objects.filter(pk=plain.job_id).update(stage="done", stage_since=timezone.now() - timedelta(days=9000))
    return plain


@pytest.fixture
def after(filed):
    """The first day on which the file is past its years."""
    return rule.last_day(filed.issued_on) + timedelta(days=1)


@pytest.fixture
def earlier(tmp_path, db):
    """A certificate from before this system."""
    table = tmp_path / "old.csv"
    table.write_text("number,issued_on,owner,plate,jurisdiction\nOLD/1,2011-02-03,Olive,OLD1,NSW\n")
    list(importing.run(file=table, pdfs=None))
    return ImportedCertificate.objects.get()


def listed():
    return [old.file for old in erasing.old_files()]


def hand_on(subject, engineer, **details):
    return after_issue.note_transfer(
        subject=subject, by=engineer, new_owner="Nora", on=subject.issued_on, evidence="Papers",
        email="nora@example.com", phone="0400 000 000", **details,
    )  # fmt: skip


def test_the_longer_term_wins_and_nothing_that_was_sealed_goes(filed, after, on, admin_user):
    before = Certificate.objects.values().get()
    outbox.post(job=filed.job, to=filed.job.owner.email, subject="A word", body="To read.", kind="certificate")
    on(after - timedelta(days=1))
    assert listed() == []
    on(after)
    assert listed() == [filed.job]
    [(_, gone)] = erasing.erase_all(by=admin_user)
    assert gone["telephone and e-mail of the owner"] == 1
    owner = filed.job.owner
    owner.refresh_from_db()
    assert (owner.name, owner.phone, owner.email) == (filed.owner_name, "", "")
    assert Certificate.objects.values().get() == before
    assert listed() == []
    assert list(verify_chain()) == []


def test_the_workshops_own_term_is_the_one_that_counts(filed, after, on, admin_user):
    Workshop.objects.create(name="Workshop", retention_years=9, saved_by=admin_user)
    on(after)
    assert listed() == [] and [term.years for term in rule.terms()] == [None, 9]


def test_a_change_of_ownership_keeps_the_file_longer_and_its_contact_goes_with_it(filed, engineer, on, admin_user):
    noted = hand_on(filed, engineer)
    on(rule.last_day(timezone.localdate(noted.at)))
    assert listed() == [] and NewOwnerContact.objects.exists()
    on(rule.last_day(timezone.localdate(noted.at)) + timedelta(days=1))
    [(_, gone)] = erasing.erase_all(by=admin_user)
    assert gone[old_files.CONTACT] == 1
    assert not NewOwnerContact.objects.exists()
    assert list(verify_chain()) == []


def test_a_certificate_from_before_is_a_file_of_its_own_and_its_events_tell_of_it(
    earlier, engineer, on, admin_user, as_
):
    noted = hand_on(earlier, engineer)
    after_issue.withdraw(subject=earlier, by=engineer, reason="Bad welds.")
    on(rule.last_day(timezone.localdate(noted.at)) + timedelta(days=1))
    client = as_(admin_user)
    assert "OLD/1" in client.get("/workshop/old-files/").content.decode()
    address = f"/workshop/old-files/imported/{earlier.pk}/"
    page = client.get(address).content.decode()
    assert f"{old_files.CONTACT}: 1" in page and "letters: 1" in page
    client.post(f"{address}erase/")
    assert not NewOwnerContact.objects.exists()
    assert not outbox.OutboxMessage.objects.exclude(to="", body="").exists()
    last = earlier.events.last()
    assert (last.kind, last.by) == ("erased", admin_user)
    assert last.record["gone"] == {old_files.CONTACT: 1, "addresses and texts of letters": 1}
    assert "nora" not in str(last.record)
    assert "Contact erased" in client.get(earlier.get_absolute_url()).content.decode()
    assert listed() == [] and list(verify_chain()) == []


def test_the_command_comes_to_both_kinds(filed, earlier, engineer, on):
    hand_on(earlier, engineer)
    on(rule.last_day(timezone.localdate()) + timedelta(days=1))
    out = io.StringIO()
    call_command("retention", stdout=out)
    assert "OLD/1" in out.getvalue() and filed.job.number in out.getvalue()
    call_command("retention", "--erase", stdout=out)
    assert "Files erased: 2." in out.getvalue() and listed() == []


def test_auditors_read_the_same_rule(as_, auditor, admin_user):
    pages = [as_(auditor).get("/audits/"), as_(admin_user).get("/workshop/old-files/")]
    for term in rule.terms():
        assert all(term.why in page.content.decode() for page in pages)


def test_page_file_and_pack_say_until_when_it_is_kept(filed, auditor, as_):
    client = as_(auditor)
    last = rule.last_day(filed.issued_on)
    said = f"is kept until {last.day} {last:%B %Y}, 7 years after its last certificate was issued"
    for name in ("certificate", "whole_file"):
        assert said in client.get(reverse(f"certificates:{name}", args=[filed.number])).content.decode()
    response = client.get(reverse("certificates:evidence_pack", args=[filed.number]))
    archive = zipfile.ZipFile(io.BytesIO(b"".join(response.streaming_content)))
    [told] = json.loads(archive.read("manifest.json"))["certificates"]
    assert said in told["kept"] and '("kept")' in archive.read("README.txt").decode()


def test_while_the_job_is_open_no_day_is_named(plain, auditor, as_):
    Job.objects.filter(pk=plain.job_id).update(stage="certificate")
    page = as_(auditor).get(plain.get_absolute_url()).content.decode()
    assert "is kept while the job is open and for 7 years after it was closed" in page


def test_a_certificate_from_before_says_it_as_well(earlier, auditor, as_):
    page = as_(auditor).get(earlier.get_absolute_url()).content.decode()
    assert "was to be kept until 3 February 2018, 7 years after it was issued on 3 February 2011" in page


def test_the_trail_holds_no_address_of_the_owner(engineer, plain):
    from jobs import outbox, receipt
    from jobs.messages import bounces

    receipt.send(by=engineer, job=plain.job)
    message = outbox.send_now(plain.job.messages.first())
    bounces.note(message=message, by=engineer, reason="Mailbox full")
    trail = "".join(f"{entry.what}{entry.details}" for entry in plain.job.audit_entries.all())
    assert "Receipt sent" in trail and "Mailbox full" in trail
    assert plain.job.owner.email not in trail


def test_a_table_nobody_came_back_for_is_thrown_away(db, monkeypatch):
    old = import_batches.keep(table=ContentFile(b"number"), papers=ContentFile(b"zip"))
    now = timezone.now()
    with monkeypatch.context() as patched:
        patched.setattr(import_batches.timezone, "now", lambda: now + import_batches.WAITS + timedelta(hours=1))
        import_batches.sweep()
    assert not import_batches.exists(old)
    assert import_batches.waiting() == []
    new = import_batches.keep(table=ContentFile(b"number"), papers=None)
    import_batches.sweep()
    assert import_batches.exists(new)
