"""The evidence pack, checked by sha256sum and by the script inside it, with nothing of this program."""

import hashlib
import json
import subprocess
import sys
import zipfile
from datetime import datetime, timedelta
from io import BytesIO

import pytest
from django.core.files.storage import default_storage
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from certificates import after_issue, audits, importing, pack
from certificates.models import Certificate
from certificates.services import issue
from jobs.models import Job
from tests.certificates_factories import document, photo, untested_job


@pytest.fixture
def certificate(engineer, plain_papers):
    job = untested_job(engineer)
    photo(job, "Front left wheel")
    document(job, b"%PDF-receipt", caption="Receipt")
    issued = issue(job=job, by=engineer)
    after_issue.note_transfer(
        subject=issued, by=engineer, new_owner="Nora", on=issued.issued_on, evidence="Transfer papers"
    )
    return issued


@pytest.fixture
def folder(certificate, auditor, as_, tmp_path):
    """The pack as an auditor downloads and unpacks it."""
    response = as_(auditor).get(reverse("certificates:evidence_pack", args=[certificate.number]))
    assert response["Content-Disposition"] == f'attachment; filename="{certificate.number}-evidence.zip"'
    to = tmp_path / "pack"
    zipfile.ZipFile(BytesIO(b"".join(response.streaming_content))).extractall(to)
    return to


def verify(folder):
    # Isolated: not even the packages of this environment are there.
    return subprocess.run([sys.executable, "-I", "-S", folder / "verify.py"], capture_output=True, text=True)


def sha256sum(folder):
    return subprocess.run(["sha256sum", "-c", "--quiet", "SHA256SUMS"], cwd=folder, capture_output=True, text=True)


def test_everything_is_in_it(folder, certificate):
    inside = folder / certificate.number
    names = {path.relative_to(inside).as_posix() for path in inside.rglob("*")}
    assert {"record.json", "certificate.pdf", "report.pdf", "audit-trail.json", "events/000001.json"} <= names
    assert len([name for name in names if name.startswith("evidence/")]) == 2
    assert json.loads((folder / certificate.number / "record.json").read_text()) == certificate.record
    trail = json.loads((folder / certificate.number / "audit-trail.json").read_text())
    assert "Certificate issued" in [entry["what"] for entry in trail]


def test_standard_tools_and_the_script_find_it_whole(folder, certificate):
    assert sha256sum(folder).returncode == 0
    said = verify(folder)
    assert (said.returncode, said.stdout.strip().rpartition(": ")[2]) == (0, "all holds")
    told = json.loads((folder / "manifest.json").read_text())["certificates"][0]
    # The very line that README.txt in the pack gives.
    line = f"printf '%s\\n' {told['previous_seal']} | cat - {certificate.number}/record.json | sha256sum"
    sealed = subprocess.run(["sh", "-c", line], cwd=folder, capture_output=True, text=True, check=True)
    assert sealed.stdout.split()[0] == told["seal"] == certificate.seal


def test_any_changed_file_is_found_by_both(folder):
    for path in sorted(p for p in folder.rglob("*") if p.is_file() and p.name not in ("verify.py", "SHA256SUMS")):
        before = path.read_bytes()
        path.write_bytes(before + b" ")
        assert sha256sum(folder).returncode == 1, path
        assert verify(folder).returncode == 1, path
        path.write_bytes(before)
    assert verify(folder).returncode == 0


def test_a_record_forged_together_with_its_sums_breaks_its_seal(folder, certificate):
    record = folder / certificate.number / "record.json"
    old = hashlib.sha256(record.read_bytes()).hexdigest()
    record.write_bytes(record.read_bytes().replace(b"NSW", b"VIC"))
    new = hashlib.sha256(record.read_bytes()).hexdigest()
    manifest = folder / "manifest.json"
    before = hashlib.sha256(manifest.read_bytes()).hexdigest()
    manifest.write_text(manifest.read_text().replace(old, new))
    sums = folder / "SHA256SUMS"
    after = hashlib.sha256(manifest.read_bytes()).hexdigest()
    sums.write_text(sums.read_text().replace(old, new).replace(before, after))
    assert sha256sum(folder).returncode == 0
    said = verify(folder)
    assert said.returncode == 1
    assert "the seal does not fit the record" in said.stdout


@pytest.mark.parametrize("act", ["removed", "added"])
def test_a_file_removed_or_added_is_found(folder, certificate, act):
    if act == "removed":
        (folder / certificate.number / "report.pdf").unlink()
    else:
        (folder / certificate.number / "extra.pdf").write_bytes(b"%PDF")
    assert verify(folder).returncode == 1


def test_what_is_gone_from_the_store_is_named(certificate, auditor, as_, tmp_path):
    default_storage.delete(certificate.job.vehicle.documents.first().file.name)
    response = as_(auditor).get(reverse("certificates:evidence_pack", args=[certificate.number]))
    zipfile.ZipFile(BytesIO(b"".join(response.streaming_content))).extractall(tmp_path / "pack")
    said = verify(tmp_path / "pack")
    assert said.returncode == 1
    assert "was missing from the store when the pack was made" in said.stdout


def test_the_pack_of_an_audit_holds_its_whole_sample_imports_too(certificate, auditor, as_, tmp_path):
    table = tmp_path / "old.csv"
    table.write_text("number,issued_on,owner,plate,pdf\nOLD/1,2011-02-03,Olive,OLD1,a.pdf\n")
    (tmp_path / "a.pdf").write_bytes(b"%PDF-1.4 old")
    list(importing.run(file=table, pdfs=tmp_path))
    audit = audits.draw(by=auditor, criteria={}, size=2)
    response = as_(auditor).get(reverse("certificates:audit_pack", args=[audit.number]))
    zipfile.ZipFile(BytesIO(b"".join(response.streaming_content))).extractall(tmp_path / "pack")
    assert verify(tmp_path / "pack").returncode == 0
    told = json.loads((tmp_path / "pack" / "manifest.json").read_text())["certificates"]
    assert {one["sealed_at_issue"] for one in told} == {True, False}


def test_taking_a_pack_is_written_down(folder, certificate, auditor):
    entry = certificate.job.audit_entries.first()
    assert (entry.by, entry.what) == (auditor, f"Evidence pack taken: {certificate.number}")


@pytest.fixture
def audited(certificate, auditor, engineer, as_, tmp_path):
    """The pack of an audit that was drawn before something else happened to its certificates."""
    issue(job=untested_job(engineer), by=engineer)
    audit = audits.draw(by=auditor, criteria={}, size=2)
    audits.find_fault(subject=certificate, by=auditor, text="Faint", grade="minor", audit=audit)
    response = as_(auditor).get(reverse("certificates:audit_pack", args=[audit.number]))
    zipfile.ZipFile(BytesIO(b"".join(response.streaming_content))).extractall(tmp_path / "pack")
    return audit, tmp_path / "pack"


def test_the_pack_of_an_audit_is_of_now_and_each_job_tells_that_it_was_taken(audited, certificate, auditor):
    audit, folder = audited
    made = json.loads((folder / "manifest.json").read_text())
    assert abs(datetime.fromisoformat(made["made_at"]) - timezone.now()) < timedelta(minutes=5)
    assert {event.subject.job for event in audit.events.filter(kind="sampled")} == set(Job.objects.all())
    for job in Job.objects.all():
        entry = job.audit_entries.first()
        assert (entry.by, entry.what) == (auditor, f"Evidence pack taken: {audit.number}")


def test_the_pack_of_an_audit_draws_its_sample_again(audited):
    audit, folder = audited
    assert verify(folder).returncode == 0
    assert len((folder / "audit" / "numbers.txt").read_text().split()) == audit.population
    # As somebody would who steers a sample: list, seed and all sums changed together.
    for name, old, new in (
        ("audit/numbers.txt", "0002", "0009"),
        ("audit/audit.json", audit.seed, "0" * 32),
        ("audit/audit.json", '"population": 2', '"population": 3'),
    ):
        file = folder / name
        before = {path: path.read_text() for path in (file, folder / "manifest.json", folder / "SHA256SUMS")}
        file.write_text(before[file].replace(old, new))
        sums = hashlib.sha256(before[file].encode()).hexdigest(), hashlib.sha256(file.read_bytes()).hexdigest()
        manifest = folder / "manifest.json"
        manifest.write_text(before[manifest].replace(*sums))
        whole = hashlib.sha256(before[manifest].encode()).hexdigest(), hashlib.sha256(manifest.read_bytes()).hexdigest()
        (folder / "SHA256SUMS").write_text(before[folder / "SHA256SUMS"].replace(*sums).replace(*whole))
        assert sha256sum(folder).returncode == 0
        said = verify(folder)
        assert said.returncode == 1, name
        assert "audit" in said.stdout
        for path, text in before.items():
            path.write_text(text)


def test_a_pack_asks_as_often_for_eight_certificates_as_for_two(engineer, plain_papers):
    def asked(count):
        subjects = [issue(job=untested_job(engineer), by=engineer) for _ in range(count)]
        subjects = list(Certificate.objects.filter(pk__in=[one.pk for one in subjects]).select_related("job__vehicle"))
        with CaptureQueriesContext(connection) as questions, pack.written(subjects, made_for="x", made_at="now"):
            return len(questions)

    assert asked(2) == asked(8)
