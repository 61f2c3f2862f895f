"""What an owner does: send files, answer mornings, ask, and read what was answered."""

import io
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import ExifTags, Image

from jobs import outbox
from jobs.models import Job, MorningAnswer
from jobs.owner_page import Morning
from jobs.owners import files, mornings, questions
from tests.owner_side import address, let_in, offer, photo, workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client, job):
    return let_in(client, job)


def days(*ahead):
    return [timezone.localdate() + timedelta(days=n) for n in ahead]


def two_mornings(monkeypatch):
    offered = [Morning(day=day, text=f"{day:%A %d %B}, 7:00, Saltbush airstrip") for day in days(5, 6)]
    offer(monkeypatch, *offered)
    return offered


# files


def test_several_photos_at_once(owner, job):
    response = owner.post(address(job, "files/"), {"what": "photo", "note": "wheels", "files": [photo(), photo()]})
    assert response.url == address(job)
    documents = [upload.document for upload in job.owner_uploads.all()]
    assert [d.caption for d in documents] == ["Photo from the owner: wheels"] * 2
    assert {d.content_type for d in documents} == {"image/jpeg"}
    assert "Photo from the owner: wheels" in owner.get(address(job)).content.decode()


def test_the_place_where_a_photo_was_taken_is_not_kept(owner, job):
    taken = io.BytesIO()
    image = Image.new("RGB", (64, 48), "#8899aa")
    exif = image.getexif()
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (33.0, 52.0, 4.0)
    image.save(taken, "JPEG", exif=exif)
    assert Image.open(taken).getexif().get_ifd(ExifTags.IFD.GPSInfo)
    upload = SimpleUploadedFile("here.jpg", taken.getvalue(), content_type="image/jpeg")
    owner.post(address(job, "files/"), {"what": "photo", "files": [upload]})
    with job.owner_uploads.get().document.file.open("rb") as kept, Image.open(kept) as stored:
        assert not stored.getexif()


def test_an_insurance_document_as_pdf(owner, job):
    paper = SimpleUploadedFile("cover.pdf", b"%PDF-1.7 cover", content_type="application/pdf")
    owner.post(address(job, "files/"), {"what": "insurance", "files": [paper]})
    assert job.owner_uploads.get().document.kind == "paper"


def test_a_bad_file_loses_no_good_one(owner, job):
    script = SimpleUploadedFile("../../evil.svg", b"<svg onload=alert(1)>", content_type="image/jpeg")
    page = owner.post(address(job, "files/"), {"what": "photo", "files": [script, photo()]}, follow=True)
    assert "is not a file of an allowed kind" in page.content.decode()
    assert job.owner_uploads.count() == 1


@pytest.mark.parametrize("what", ["photo", "insurance"])
@pytest.mark.parametrize("content", [b"<html><script>", b"", b"GIF89a", b"PK\x03\x04"])
def test_files_of_no_allowed_kind_are_refused(owner, job, what, content):
    bad = SimpleUploadedFile("x.jpg", content, content_type="image/jpeg")
    page = owner.post(address(job, "files/"), {"what": what, "files": [bad]}, follow=True)
    assert page.status_code == 200
    assert job.owner_uploads.count() == 0


def test_a_closed_file_takes_nothing_more(owner, job):
    Job.objects.filter(pk=job.pk).update(stage="done")
    page = owner.post(address(job, "files/"), {"what": "photo", "files": [photo()]}, follow=True)
    assert "closed" in page.content.decode()
    assert job.owner_uploads.count() == 0


def test_a_day_takes_so_many_files_and_no_more(owner, job, monkeypatch):
    monkeypatch.setattr(files, "A_DAY", 1)
    page = owner.post(address(job, "files/"), {"what": "photo", "files": [photo(), photo()]}, follow=True)
    assert "as many as this page takes" in page.content.decode()
    assert job.owner_uploads.count() == 1


# mornings


def test_the_owner_says_which_mornings_do_not_suit(owner, job, monkeypatch):
    first, second = two_mornings(monkeypatch)
    assert "Say which mornings" in owner.get(address(job)).content.decode()
    owner.post(address(job, "mornings/"), {"unsuitable": [str(first.day)], "note": "only before ten"})
    assert mornings.unsuitable(job) == {first.day}
    assert mornings.answers(job) == {first.day: False, second.day: True}
    page = owner.get(address(job)).content.decode()
    assert "Say which mornings" not in page
    assert "does not suit you" in page


def test_the_latest_answer_counts(owner, job, monkeypatch):
    first, _ = two_mornings(monkeypatch)
    for unsuitable in ([str(first.day)], []):
        owner.post(address(job, "mornings/"), {"unsuitable": unsuitable})
    assert mornings.unsuitable(job) == set()
    assert MorningAnswer.objects.count() == 2


@pytest.mark.parametrize("unsuitable", ["1999-01-01", "soon", "\x00", "9" * 400])
def test_a_morning_nobody_offered_is_refused(owner, job, monkeypatch, unsuitable):
    two_mornings(monkeypatch)
    response = owner.post(address(job, "mornings/"), {"unsuitable": [unsuitable]})
    assert response.status_code == 200
    assert MorningAnswer.objects.count() == 0


def test_with_nothing_offered_the_page_says_so(owner, job):
    assert "No morning is offered" in owner.get(address(job, "mornings/")).content.decode()


def test_mornings_gone_by_are_not_offered(owner, job, monkeypatch):
    offer(monkeypatch, Morning(day=days(-1)[0], text="yesterday"))
    assert "yesterday" not in owner.get(address(job)).content.decode()


# questions


def test_a_question_reaches_the_desk_and_its_answer_the_owner(owner, job, desk):
    workshop()
    owner.post(address(job, "questions/"), {"text": "May the <b>bull bar</b> stay on?"})
    assert job.messages.get(kind="desk_question").to == "desk@quandong.example"
    question = job.owner_questions.get()
    questions.answer(question=question, by=desk, text="It may.")
    page = owner.get(address(job)).content.decode()
    assert "&lt;b&gt;bull bar" in page
    assert "It may." in page
    assert job.messages.get(kind="question_answered").to == job.owner.email
    assert outbox.send_due() == (2, 0)


def test_ten_questions_a_day(owner, job, monkeypatch):
    monkeypatch.setattr(questions, "A_DAY", 1)
    for _ in range(2):
        page = owner.post(address(job, "questions/"), {"text": "Again?"}, follow=True).content.decode()
    assert "Ring the workshop" in page
    assert "Again?" in page
    assert job.owner_questions.count() == 1


@pytest.mark.parametrize("text", ["", "   ", "x" * 2001, "\x00"])
def test_a_question_that_cannot_be_kept_says_why(owner, job, text):
    response = owner.post(address(job, "questions/"), {"text": text})
    assert response.status_code == 200
    assert "mend" in response.content.decode()
    assert job.owner_questions.count() == 0
