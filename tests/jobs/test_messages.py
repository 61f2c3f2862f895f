"""Messages: our wordings as data, the workshop's own over them, what went out and what did not."""

import pytest
from django.core import mail
from django.core.mail.backends.base import BaseEmailBackend

from jobs import outbox, stages
from jobs.messages import bounces, letters, wording
from jobs.models import MessageText, NoMail, OutboxMessage
from tests.factories import JobFactory, OwnerFactory
from tests.owner_side import address, workshop

pytestmark = pytest.mark.django_db


class Refusing(BaseEmailBackend):
    """A mail server that takes nothing."""

    def send_messages(self, messages):
        raise ConnectionRefusedError("mailbox unavailable")


@pytest.fixture
def no_mail_server(settings):
    settings.EMAIL_BACKEND = f"{__name__}.Refusing"


# wording


@pytest.mark.parametrize("key", sorted(wording.events()))
def test_every_wording_of_ours_can_be_filled(key):
    event = wording.event(key)
    for text in (event.subject, event.body):
        assert wording.strange_places(text, event.known) == []
        assert "{" not in wording.fill(text, event.known)


def test_a_wording_can_run_nothing(job):
    MessageText.objects.create(event="link", subject="{owner.__class__} {% now %}", body="{{7*7}} {0} {page!r}")
    subject, body = letters.worded(wording.event("link"), job)
    assert subject == "{owner.__class__} {% now %}"
    assert "49" not in body


def test_the_latest_wording_counts_and_the_earlier_stays(as_, admin_user, job):
    client = as_(admin_user)
    for subject in ("First {vehicle}", "Second {vehicle}"):
        assert client.post("/workshop/messages/link/", {"subject": subject, "body": "Here: {page}"}).status_code == 302
    letters.send(job=job, event="link", facts={"until": "never"})
    message = job.messages.get()
    assert message.subject == "Second 2019 Banksia Tourer"
    assert message.body.endswith(address(job))
    assert MessageText.objects.count() == 2
    assert "First {vehicle}" in client.get("/workshop/messages/link/").content.decode()


def test_a_preview_shows_the_letter_and_keeps_nothing(as_, admin_user):
    page = as_(admin_user).post(
        "/workshop/messages/link/", {"subject": "For {owner}", "body": "Dear {owner}, {page}", "look": "1"}
    )
    assert "Dear Olive Saltbush," in page.content.decode()
    assert not MessageText.objects.exists()


@pytest.mark.parametrize(
    "bad",
    [{"body": "{password}"}, {"subject": "{owner.email}"}, {"body": ""}, {"subject": "x" * 151}, {"body": "\x00"}],
)
def test_a_wording_that_cannot_be_filled_says_what_is_allowed(as_, admin_user, bad):
    page = as_(admin_user).post("/workshop/messages/link/", {"subject": "S", "body": "{page}", **bad})
    assert page.status_code == 200
    assert "mend" in page.content.decode()
    assert not MessageText.objects.exists()


def test_an_event_that_is_not_ours_leads_back(as_, admin_user):
    assert (
        "is not one of our messages" in as_(admin_user).get("/workshop/messages/lottery/", follow=True).content.decode()
    )
    with pytest.raises(wording.UnknownEvent):
        wording.event("lottery")


def test_the_list_says_what_goes_out_when(as_, admin_user):
    page = as_(admin_user).get("/workshop/messages/").content.decode()
    assert "the first estimate of a job is sent" in page
    assert "can be declined" in page


# sending


def test_news_of_a_step_can_be_declined_and_the_rest_cannot(job, desk):
    assert address(job, "e-mail/") in letters.send(job=job, event="step_reached", facts={"step": "x", "next": "y"}).body
    NoMail.objects.create(owner=job.owner)
    assert letters.send(job=job, event="step_reached") is None
    assert "e-mail/" not in letters.send(job=job, event="link", facts={"until": "1 May"}).body


def test_moving_on_tells_the_owner(job, desk):
    stages.move_on(job, by=desk, expected="booking")
    [message] = job.messages.filter(kind="step_reached")
    assert message.subject == "2019 Banksia Tourer: Deciding what is needed"


def test_sending_back_tells_nobody(job, desk, engineer):
    stages.move_on(job, by=desk, expected="booking")
    stages.send_back(job, to="booking", by=engineer, reason="Wrong VIN")
    assert job.messages.filter(kind="step_reached").count() == 1


def test_without_an_address_nothing_is_posted():
    job = JobFactory(owner=OwnerFactory(email=""))
    assert letters.send(job=job, event="link") is None
    assert letters.send_to_workshop(job=job, event="desk_question", facts={"question": "?"}) is None
    assert not OutboxMessage.objects.exists()


def test_letters_carry_the_address_of_the_site(job):
    workshop(web_address="https://book.example/")
    assert f"https://book.example/owner/{job.owner_token}/" in letters.send(job=job, event="link").body


def test_a_certificate_is_told_of_once(job, desk):
    for _ in range(2):
        letters.send(job=job, event="certificate_issued", key=f"certificate-issued-{job.pk}")
    assert job.messages.count() == 1


# what did not arrive


def posted(job):
    return letters.send(job=job, event="link", facts={"until": "1 May"})


def test_a_failure_stands_on_the_job_with_its_reason(as_, desk, job, no_mail_server):
    message = posted(job)
    OutboxMessage.objects.filter(pk=message.pk).update(state="failed")
    message.attempts.create(problem="mailbox unavailable")
    client = as_(desk)
    assert "1 message did not arrive" in client.get(job.get_absolute_url()).content.decode()
    page = client.get(f"/jobs/{job.number}/messages/").content.decode()
    assert "mailbox unavailable" in page
    page = client.post(f"/jobs/{job.number}/messages/{message.pk}/again/", follow=True).content.decode()
    assert "It did not go out" in page


def test_it_can_be_sent_again(as_, desk, job):
    message = posted(job)
    OutboxMessage.objects.filter(pk=message.pk).update(state="failed")
    client, url = as_(desk), f"/jobs/{job.number}/messages/{message.pk}/"
    assert "Send it now" in client.get(url).content.decode()
    assert "Sent again." in client.post(f"{url}again/", follow=True).content.decode()
    assert bounces.in_trouble(job) == 0
    page = client.post(f"{url}again/", follow=True).content.decode()
    assert "It was sent already" in page
    assert "Send it now" not in page
    assert len(mail.outbox) == 1


def test_sent_again_speaks_of_this_message_and_sends_no_other(as_, desk, job, monkeypatch):
    """Another message that waits and would go through says nothing of this one."""
    message, other = posted(job), posted(JobFactory())
    OutboxMessage.objects.filter(pk=message.pk).update(state="failed")
    real = outbox._send
    monkeypatch.setattr(outbox, "_send", lambda one: "550 no such mailbox" if one.pk == message.pk else real(one))
    page = as_(desk).post(f"/jobs/{job.number}/messages/{message.pk}/again/", follow=True).content.decode()
    assert "Sent again." not in page
    assert "It did not go out" in page
    other.refresh_from_db()
    assert other.state == "to_send"


def test_where_no_mail_server_is_set_up_a_letter_is_not_sent(as_, desk, job, settings):
    message = posted(job)
    settings.EMAIL_BACKEND = outbox.PRINTS[0]
    page = as_(desk).post(f"/jobs/{job.number}/messages/{message.pk}/again/", follow=True).content.decode()
    message.refresh_from_db()
    assert (message.state, message.sent_at) == ("printed", None)
    assert "No mail server is set up" in page
    assert "printed, not sent" in page
    assert "the mail server took it" not in page


def test_what_came_back_is_noted_once(as_, desk, job):
    message = posted(job)
    outbox.send_due()
    for _ in range(2):
        as_(desk).post(f"/jobs/{job.number}/messages/{message.pk}/came-back/", {"reason": "Address unknown"})
    assert bounces.in_trouble(job) == 1
    [row] = bounces.with_state(job.messages.all())
    assert (row.state, row.problem) == ("came back", "Address unknown")
    assert job.audit_entries.filter(what__startswith="Message came back").count() == 1


def test_what_came_back_is_sent_again_and_may_come_back_again(as_, desk, job):
    message, client = posted(job), as_(desk)
    url = f"/jobs/{job.number}/messages/{message.pk}/"
    outbox.send_due()
    client.post(f"{url}came-back/", {"reason": "Mailbox full"})
    assert "Sent again." in client.post(f"{url}again/", follow=True).content.decode()
    assert (bounces.in_trouble(job), len(mail.outbox)) == (0, 2)
    assert "came back" not in client.get(url).content.decode().split("<h2>")[1].split("</p>")[0]
    client.post(f"{url}came-back/", {"reason": "Address unknown"})
    [row] = bounces.with_state(job.messages.all())
    assert (row.state, row.problem, bounces.in_trouble(job)) == ("came back", "Address unknown", 1)
    assert job.audit_entries.filter(what__startswith="Message came back").count() == 2


def test_what_did_not_go_out_cannot_have_come_back(as_, desk, job):
    message = posted(job)
    page = as_(desk).post(f"/jobs/{job.number}/messages/{message.pk}/came-back/", {"reason": "Unknown"})
    assert "It did not go out, so it cannot have come back." in page.content.decode()
    assert not message.bounces.exists()


@pytest.mark.parametrize("reason", ["", "x" * 301, "\x00"])
def test_a_reason_is_asked_for(as_, desk, job, reason):
    message = posted(job)
    page = as_(desk).post(f"/jobs/{job.number}/messages/{message.pk}/came-back/", {"reason": reason})
    assert page.status_code == 200
    assert "mend" in page.content.decode()


def test_a_message_of_another_job_is_not_there(as_, desk, job):
    message = posted(JobFactory())
    for rest in ("", "again/", "came-back/"):
        url = f"/jobs/{job.number}/messages/{message.pk}/{rest}"
        response = as_(desk).post(url) if rest else as_(desk).get(url)
        assert response.status_code == 404


def test_only_who_deals_with_owners_reads_the_key_of_their_page(as_, desk, auditor, job):
    message = letters.send(job=job, event="link", facts={"until": "x"})
    url = f"/jobs/{job.number}/messages/{message.pk}/"
    assert job.owner_token in as_(desk).get(url).content.decode()
    page = as_(auditor).get(url).content.decode()
    assert job.owner_token not in page
    assert "/owner/(key not shown)/" in page
