"""The desk's side: links made, mailed and withdrawn, codes read out, questions answered."""

import pytest
from django.core import mail

from tests.factories import JobFactory
from tests.owner_side import address, workshop

pytestmark = pytest.mark.django_db


def side(job, rest=""):
    return f"/jobs/{job.number}/owner-side/{rest}"


def test_the_page_has_the_address_to_give(as_, desk, job):
    workshop(web_address="https://book.example/")
    page = as_(desk).get(side(job)).content.decode()
    assert f"https://book.example/owner/{job.owner_token}/" in page


def test_a_new_link_stands_beside_the_old_one_until_that_is_withdrawn(as_, desk, job, client):
    old = job.owner_links.get()
    as_(desk).post(side(job, "new-link/"))
    new = job.owner_links.first()
    assert (new.created_by, job.owner_token) == (desk, new.token)
    assert client.get(f"/owner/{old.token}/").status_code == 200
    as_(desk).post(side(job, f"links/{old.pk}/withdraw/"))
    assert client.get(f"/owner/{old.token}/").status_code == 404
    assert client.get(f"/owner/{new.token}/").status_code == 200
    assert [entry.what for entry in job.audit_entries.all()[:2]] == [
        "Link to the owner's page withdrawn",
        "New link to the owner's page",
    ]


def test_how_long_a_link_holds_comes_from_the_settings(as_, desk, job):
    workshop(link_days=10)
    as_(desk).post(side(job, "new-link/"))
    link = job.owner_links.first()
    assert (link.expires_at - link.created_at).days in (9, 10)


def test_a_link_of_another_job_is_not_withdrawn(as_, desk, job):
    other = JobFactory()
    page = as_(desk).post(side(job, f"links/{other.owner_links.get().pk}/withdraw/"), follow=True)
    assert "not there" in page.content.decode()
    assert other.owner_token


def test_the_link_goes_out_by_mail(as_, desk, job):
    as_(desk).post(side(job, "mail-link/"))
    assert mail.outbox[-1].to == [job.owner.email]
    assert address(job) in mail.outbox[-1].body


def test_without_a_link_nothing_is_mailed_and_no_code_is_made(as_, desk, job):
    as_(desk).post(side(job, f"links/{job.owner_links.get().pk}/withdraw/"))
    assert "No standing link" in as_(desk).post(side(job, "mail-link/"), follow=True).content.decode()
    assert "No link stands" in as_(desk).post(side(job, "code/"), follow=True).content.decode()
    assert mail.outbox == []


def test_a_question_is_answered_and_can_be_put_right(as_, desk, job):
    question = job.owner_questions.create(text="May the bull bar stay on?")
    assert "1 question of the owner not answered" in as_(desk).get(job.get_absolute_url()).content.decode()
    for text in ("Yes.", "No, take it off."):
        assert as_(desk).post(side(job, f"questions/{question.pk}/"), {"text": text}).url == side(job)
    question.refresh_from_db()
    assert (question.answer, question.answered_by) == ("No, take it off.", desk)
    assert job.audit_entries.first().details["before"] == "Yes."


@pytest.mark.parametrize("text", ["", "x" * 4001, "\x00"])
def test_an_answer_that_cannot_be_kept_says_why(as_, desk, job, text):
    question = job.owner_questions.create(text="Why?")
    response = as_(desk).post(side(job, f"questions/{question.pk}/"), {"text": text})
    assert response.status_code == 200
    assert "mend" in response.content.decode()


def test_a_question_of_another_job_is_not_there(as_, desk, job):
    question = JobFactory().owner_questions.create(text="Why?")
    assert as_(desk).get(side(job, f"questions/{question.pk}/")).status_code == 404
