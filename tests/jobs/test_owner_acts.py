"""What an owner does: send files, answer mornings, ask, and read what was answered."""

import io
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from django.utils.formats import date_format
from PIL import ExifTags, Image

from jobs import lines, outbox, services
from jobs.estimates import decisions
from jobs.models import Job, MorningAnswer
from jobs.owner_page import Morning
from jobs.owners import files, mornings, questions, unheard, words
from tests.factories import JobFactory
from tests.owner_side import address, let_in, offer, photo, sent_estimate, workshop

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


def test_a_refused_file_loses_neither_its_kind_nor_the_note(owner, job):
    bad = SimpleUploadedFile("a.svg", b"<svg/>", content_type="image/svg+xml")
    sent = {"what": "insurance", "note": "my policy", "files": [bad, photo()]}
    page = owner.post(address(job, "files/"), sent).content.decode()
    assert "is not a file of an allowed kind" in page
    assert 'value="my policy"' in page
    assert '<option value="insurance" selected>' in page
    assert "One file is with the workshop now" in page


def test_more_files_than_one_request_may_hold_are_refused_plainly(owner, job):
    many = [SimpleUploadedFile(f"{n}.jpg", b"x") for n in range(101)]
    response = owner.post(address(job, "files/"), {"what": "photo", "note": "", "files": many})
    page = response.content.decode()
    assert response.status_code == 400
    assert "More than 100 files came in one go" in page
    assert f'href="{address(job, "files/")}"' in page


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


# what the desk has to take up


def line_of(job):
    return lines.of(Job.objects.get(pk=job.pk))


def test_files_stand_in_the_book_and_go_to_the_desk_until_noted(owner, job, desk, as_):
    workshop()
    owner.post(address(job, "files/"), {"what": "insurance", "note": "", "files": [photo(), photo()]})
    line = line_of(job)
    assert (line.who, line.act) == ("desk", "The owner sent 2 files: Insurance document from the owner. Look at them.")
    assert job.messages.get(kind="desk_files").to == "desk@quandong.example"
    page = as_(desk).get(f"/jobs/{job.number}/").content.decode()
    assert "The owner sent 2 files" in page
    word = job.owner_words.get()
    words.say(job=job, text="Came while the desk was reading.")
    as_(desk).post(f"/jobs/{job.number}/owner-side/noted/", {"up_to": word.pk})
    assert [word.text for word in unheard.words_of(job)] == ["Came while the desk was reading."]
    as_(desk).post(f"/jobs/{job.number}/owner-side/noted/", {"up_to": job.owner_words.last().pk})
    assert "owner" not in line_of(job).act
    assert job.owner_words.first().noted_by == desk


@pytest.mark.parametrize("up_to", ["", "x", "-1", "9" * 400, "1.5", "\x00"])
def test_a_number_that_names_nothing_notes_nothing(as_, desk, job, up_to):
    words.say(job=job, text="The owner sent a file.")
    response = as_(desk).post(f"/jobs/{job.number}/owner-side/noted/", {"up_to": up_to})
    assert response.status_code == 302
    assert len(unheard.words_of(job)) == (0 if up_to == "9" * 400 else 1)


def test_a_morning_that_does_not_suit_is_the_desks_to_settle(owner, job, monkeypatch):
    workshop()
    first, _ = two_mornings(monkeypatch)
    owner.post(address(job, "mornings/"), {"unsuitable": [str(first.day)], "note": "harvest"})
    line = line_of(job)
    assert line.who == "desk"
    assert line.act == f"The owner cannot on {date_format(first.day, 'D j M')}: find another morning. “harvest”"
    assert f"{date_format(first.day, 'D j M')}" in job.messages.get(kind="desk_mornings").body


def test_a_question_is_the_desks_until_it_is_answered_even_while_the_job_waits(owner, job, desk):
    until = timezone.localdate() + timedelta(days=9)
    services.wait_for(by=desk, job=job, who="third party", what="Kit approval", until=until)
    question = questions.ask(job=job, text="May the bull bar stay on?")
    line = line_of(job)
    assert (line.who, line.act) == ("desk", "Answer the owner: May the bull bar stay on?")
    assert line.due_at - question.asked_at == timedelta(days=1)
    questions.answer(question=question, by=desk, text="It may.")
    assert line_of(job).act == "Kit approval"


@pytest.mark.parametrize(("accept", "said"), [(True, "accepted"), (False, "declined")])
def test_an_answer_to_the_estimate_is_taken_up_by_the_desk(owner, job, desk, accept, said):
    workshop()
    decisions.decide(estimate=sent_estimate(job, desk), accept=accept, name="Olive", note="")
    line = line_of(job)
    assert line.who == "desk"
    assert line.act.startswith(f"The owner {said} version 1 of the estimate.")


def test_what_was_heard_on_the_phone_is_noted_already(owner, job, desk):
    workshop()
    decisions.decide(estimate=sent_estimate(job, desk), accept=True, name="Olive", by=desk)
    assert unheard.words_of(job) == []


def test_a_question_about_a_closed_job_comes_back_into_the_book(as_, desk):
    done = JobFactory(stage="done")
    questions.ask(job=done, text="Where do I send it?")
    page = as_(desk).get("/jobs/?who=desk").content.decode()
    assert "Where do I send it?" in page


def test_what_is_too_long_for_a_line_says_that_there_is_more(job, desk):
    workshop()
    estimate = sent_estimate(job, desk)
    decisions.decide(estimate=estimate, accept=True, name="Olive", note="z" * 300)
    word = job.owner_words.get()
    assert word.text.endswith(" […] Go on.")
    assert len(word.text) <= 200
    assert words.shortened("short", 180) == "short"
