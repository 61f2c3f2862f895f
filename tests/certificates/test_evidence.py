"""Photos, papers and logs that are not the sealed ones any more: never signed again, always named."""

import io
import subprocess
import sys
import zipfile

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from PIL import Image

from certificates import after_issue, pack, photos
from certificates.check import verify_chain
from certificates.models import Certificate
from certificates.seal import sha256_of
from certificates.services import issue
from jobs.refused import Refused
from testing.testday.models import LogFile, RunPhoto
from tests.certificates_factories import document, photo, ready_job, untested_job
from vehicles.models import Document


def picture(colour="#ff0000"):
    target = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(target, "JPEG")
    return target.getvalue()


def swap(stored, content):
    name = stored.file.name
    default_storage.delete(name)
    if content is not None:
        default_storage.save(name, ContentFile(content))


@pytest.fixture
def rested(engineer, plain_papers):
    """A certificate that rests on a photo, a paper, a log and the photo of a run."""
    job = ready_job(engineer)
    document(job, b"%PDF-receipt", caption="Receipt")
    day = job.bookings.get().test_day
    log = b"time,speed\n0,80\n"
    LogFile.objects.create(
        day=day, instrument="Logger", original_name="runs.csv", kind="csv", file=ContentFile(log, name="log"),
        sha256=sha256_of(log), by=engineer,
    )  # fmt: skip
    shot = picture("#00ff00")
    RunPhoto.objects.create(
        run=day.runs.first(), file=ContentFile(shot, name="run"), content_type="image/jpeg", sha256=sha256_of(shot),
        sent_as="7b1b5f0e-4a1b-4bb0-a0a5-0d5a3f0b7c11", by=engineer,
    )  # fmt: skip
    return issue(job=job, by=engineer)


STORED = {
    "photo": lambda: Document.objects.get(kind="photo"),
    "paper": lambda: Document.objects.exclude(kind="photo").get(),
    "log": lambda: LogFile.objects.get(),
    "run photo": lambda: RunPhoto.objects.get(),
}


def packed_and_verified(certificate, folder):
    with pack.written([certificate], made_for="a test", made_at="now") as file:
        zipfile.ZipFile(file).extractall(folder)
    command = [sys.executable, "-I", "-S", folder / "verify.py"]
    return subprocess.run(command, capture_output=True, text=True)


def test_what_is_as_sealed_holds(rested, tmp_path):
    assert list(verify_chain()) == []
    assert packed_and_verified(rested, tmp_path / "pack").returncode == 0


@pytest.mark.parametrize("which", STORED)
@pytest.mark.parametrize("became", ["another", "gone"])
def test_it_is_found_by_the_check_and_by_the_pack_and_nothing_is_signed_over_it(
    rested, engineer, tmp_path, which, became
):
    swap(STORED[which](), picture() if became == "another" else None)
    found = [problem.what for problem in verify_chain()]
    assert any("the store does not hold the file that was sealed" in what for what in found)
    assert any("none that was sealed" in what for what in found) == (became == "another")
    said = packed_and_verified(rested, tmp_path / "pack")
    assert said.returncode == 1
    assert "no file is the one that was sealed" in said.stdout
    assert ("none of the files that the record sealed" in said.stdout) == (became == "another")
    with pytest.raises(Refused, match="cannot be corrected"):
        after_issue.correct(certificate=rested, by=engineer, changes={"plate": "NEW01"}, reason="Typed wrong")
    assert Certificate.objects.count() == 1


def test_a_file_changed_together_with_the_hash_beside_it_is_found_against_the_record(rested, engineer, tmp_path):
    stored = STORED["photo"]()
    swap(stored, picture())
    Document.objects.filter(pk=stored.pk).update(sha256=sha256_of(picture()))
    assert list(photos.faults(rested.job)) == []
    assert any("none that was sealed" in problem.what for problem in verify_chain())
    assert packed_and_verified(rested, tmp_path / "pack").returncode == 1
    with pytest.raises(Refused, match="cannot be corrected"):
        after_issue.correct(certificate=rested, by=engineer, changes={"plate": "NEW01"}, reason="Typed wrong")


def test_a_photo_that_does_not_hold_stops_the_first_signature_and_only_marks_the_draft(engineer, plain_papers):
    job = untested_job(engineer)
    swap(photo(job, "Front left wheel"), picture())
    with pytest.raises(Refused, match="not the one that was taken in"):
        issue(job=job, by=engineer)
    with pytest.raises(Refused):
        photos.prepared(job)
    assert photos.for_draft(job) == {}
