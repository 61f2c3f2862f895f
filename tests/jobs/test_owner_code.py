"""The code behind the link: short-lived, few tries, never stored as it is."""

from datetime import timedelta
from urllib.parse import urlencode

import pytest
from django.core import mail
from django.utils import timezone

from jobs import outbox
from jobs.models import Owner, OwnerCode
from jobs.owners import codes
from jobs.views.owner import masked
from tests.factories import JobFactory, OwnerFactory
from tests.owner_side import address

pytestmark = pytest.mark.django_db


@pytest.fixture
def link(job):
    return job.owner_links.get()


def asked(client, job):
    """Ask for a code on the page, and read it in the mail."""
    client.post(address(job, "code/send/"))
    return next(word.rstrip(".") for word in mail.outbox[-1].body.split() if word.rstrip(".").isdigit())


def typed(client, job, code):
    return client.post(address(job, "code/"), {"code": code})


def test_the_code_comes_by_mail_and_opens_the_page(client, job):
    code = asked(client, job)
    assert mail.outbox[-1].to == [job.owner.email]
    assert len(code) == 6
    assert typed(client, job, code).url == address(job)
    assert client.get(address(job, "files/")).status_code == 200


def test_blanks_between_the_digits_do_no_harm(client, job):
    code = asked(client, job)
    assert typed(client, job, f" {code[:3]} {code[3:]} ").status_code == 302


def test_the_code_is_not_stored_and_not_shown_to_staff(client, as_, desk, job):
    code = asked(client, job)
    row = OwnerCode.objects.get()
    assert code not in row.code_hash
    assert len(row.code_hash) == 64
    message = job.messages.get(kind="code")
    assert message.body == ""
    page = as_(desk).get(f"/jobs/{job.number}/messages/{message.pk}/").content.decode()
    assert code not in page


def test_it_works_once(client, job):
    code = asked(client, job)
    typed(client, job, code)
    again = typed(client, job, code)
    assert "does not work any more" in again.content.decode()


def test_it_runs_out(client, job):
    code = asked(client, job)
    OwnerCode.objects.update(expires_at=timezone.now())
    assert "does not work any more" in typed(client, job, code).content.decode()


def test_five_tries_and_no_more(client, job):
    code = asked(client, job)
    wrong = f"{(int(code) + 1) % 10**6:06d}"
    said = [typed(client, job, wrong).content.decode() for _ in range(codes.TRIES)]
    assert "4 tries are left" in said[0]
    assert "1 try is left" in said[3]
    assert "does not work any more" in typed(client, job, code).content.decode()
    assert client.get(address(job, "files/")).status_code == 302


def test_only_the_newest_works(client, job):
    first, second = asked(client, job), asked(client, job)
    assert first == second or typed(client, job, first).status_code == 200
    assert typed(client, job, second).status_code == 302


def test_a_code_of_one_link_opens_no_other(client, job):
    code = asked(client, job)
    other = JobFactory()
    assert "does not work any more" in typed(client, other, code).content.decode()


def test_not_more_than_six_an_hour(client, job):
    for _ in range(codes.AN_HOUR):
        client.post(address(job, "code/send/"))
    page = client.post(address(job, "code/send/"), follow=True).content.decode()
    assert "Too many codes" in page
    assert len(mail.outbox) == codes.AN_HOUR


def test_without_an_address_the_desk_reads_it_out(client, as_, desk):
    job = JobFactory(owner=OwnerFactory(email=""))
    page = client.post(address(job, "code/send/"), follow=True).content.decode()
    assert "they can read you a code" in page
    page = as_(desk).post(f"/jobs/{job.number}/owner-side/code/", follow=True).content.decode()
    code = page.split("Code ")[1][:6]
    client.logout()
    assert typed(client, job, code).url == address(job)


def test_opening_lasts_for_hours_and_not_for_ever(client, job, link):
    typed(client, job, asked(client, job))
    session = client.session
    held = session["owner_pages"]
    held[str(link.pk)]["until"] = timezone.now().timestamp() - 1
    session["owner_pages"] = held
    session.save()
    assert client.get(address(job, "files/")).status_code == 302


def test_an_address_set_right_shuts_out_whoever_read_the_mail_of_the_wrong_one(client, job):
    first = asked(client, job)
    typed(client, job, first)
    assert client.get(address(job, "files/")).status_code == 200
    late = asked(client, job)
    Owner.objects.filter(pk=job.owner_id).update(email="right@example.com")
    assert client.get(address(job, "files/")).status_code == 302
    assert typed(client, job, late).status_code == 200
    assert client.get(address(job, "files/")).status_code == 302
    typed(client, job, asked(client, job))
    assert client.get(address(job, "files/")).status_code == 200


def test_what_an_older_version_of_the_site_remembered_opens_nothing(client, job, link):
    typed(client, job, asked(client, job))
    session = client.session
    session["owner_pages"] = {str(link.pk): timezone.now().timestamp() + 3600}
    session.save()
    assert client.get(address(job, "files/")).status_code == 302


def test_withdrawing_the_link_closes_an_open_page(client, job, link):
    typed(client, job, asked(client, job))
    link.revoked_at = timezone.now() - timedelta(minutes=1)
    link.save()
    assert client.get(f"/owner/{link.token}/files/").status_code == 404


@pytest.mark.parametrize("code", ["", "abcdef", "1" * 500, "\x00", "１２３４５６", "-1", "NaN"])
def test_whatever_is_typed_gets_an_answer(client, job, code):
    asked(client, job)
    response = typed(client, job, code)
    assert response.status_code == 200
    assert "mend" in response.content.decode()


@pytest.mark.parametrize(
    ("written", "shown"),
    [("olive@example.com", "o•••@e•••.com"), ("", ""), ("nonsense", ""), ("a@b.id.au", "a•••@b•••.au")],
)
def test_an_address_is_hinted_at(written, shown):
    assert masked(written) == shown


def test_after_the_code_the_owner_is_where_they_wanted_to_go(client, job, link):
    asked = client.get(address(job, "questions/"))
    code = codes.make(link=link)
    assert client.post(asked.url, {"code": code}).url == address(job, "questions/")


@pytest.mark.parametrize("next_", ["https://evil.example/", "//evil.example", "/jobs/", "", "\\evil", "/owner/x/"])
def test_a_code_leads_nowhere_but_to_this_page(client, job, link, next_):
    code = codes.make(link=link)
    found = client.post(address(job, "code/") + "?" + urlencode({"next": next_}), {"code": code})
    assert found.url == address(job)


def test_asking_for_a_code_sends_that_letter_and_no_backlog(client, job):
    for number in range(3):
        outbox.post(job=JobFactory(), to=f"x{number}@example.com", subject="s", body="b", kind="link")
    page = client.post(address(job, "code/send/"), follow=True).content.decode()
    assert "A code is on its way" in page
    assert [letter.to for letter in mail.outbox] == [[job.owner.email]]


def test_a_code_that_the_mail_server_refused_is_not_on_its_way(client, job, monkeypatch):
    monkeypatch.setattr(outbox, "_send", lambda message: "SMTPRecipientsRefused: 550")
    page = client.post(address(job, "code/send/"), follow=True).content.decode()
    assert "on its way" not in page
    assert "did not go out yet: it is queued" in page
    assert "they can read you a code" in page
