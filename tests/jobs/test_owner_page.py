"""The owner's page: behind an address nobody guesses, showing this job and nothing else."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs import services, stages, throttle
from jobs.models import Job
from jobs.models.job import new_token
from jobs.owners import links
from jobs.owners.throttle import FROM_ONE_ADDRESS
from tests.factories import JobFactory, OwnerFactory, UserFactory
from tests.owner_side import address, let_in, sent_estimate, workshop

pytestmark = pytest.mark.django_db


def test_the_right_address_shows_where_the_job_stands(client, job):
    response = client.get(address(job))
    page = response.content.decode()
    assert response.status_code == 200
    assert "What happens next" in page
    assert "Tourer" in page
    assert response["Referrer-Policy"] == "same-origin"
    assert "noindex" in response["X-Robots-Tag"]
    assert "no-store" in response["Cache-Control"]


def test_it_shows_the_estimate(client, job):
    page = client.get(address(job)).content.decode()
    assert "About $2,1" in page or "About $2,2" in page or "About $2,3" in page or "About $2,4" in page


def test_before_one_is_sent_it_is_a_first_guess_that_says_what_is_missing(client, job):
    job.vehicle.market_value_aud = None
    job.vehicle.save()
    page = client.get(address(job)).content.decode()
    assert "A first guess at the cost" in page
    assert "Insurance for the test is not in the totals" in page
    assert "has not signed yet which tests are needed" in page


@pytest.mark.parametrize("facts", [{"modifications": []}, {"stage": "done"}])
def test_nothing_is_guessed_without_a_modification_or_when_all_is_done(client, facts):
    page = client.get(address(JobFactory(**facts))).content.decode()
    assert "About $" not in page
    assert "first guess" not in page


def test_what_was_sent_stays_on_the_page_of_a_closed_job(client, job, engineer):
    workshop()
    sent_estimate(job, engineer)
    Job.objects.filter(pk=job.pk).update(stage="done")
    assert "About $" in client.get(address(job)).content.decode()


def test_it_says_when_the_present_step_should_be_over(client, job):
    workshop(step_days={job.stage: 4})
    until = timezone.localdate(job.stage_since + timedelta(days=4))
    page = client.get(address(job)).content.decode()
    assert f"up to 4 days for this step, so until about {until.day} {until:%B %Y}. That is expected, not" in page
    Job.objects.filter(pk=job.pk).update(stage_since=timezone.now() - timedelta(days=6))
    assert "for this step; it takes longer this time." in client.get(address(job)).content.decode()


def test_nothing_is_expected_while_the_owner_or_others_are_waited_for(client, job, desk):
    workshop()
    assert "We expect to need" in client.get(address(job)).content.decode()
    until = timezone.localdate() + timedelta(days=9)
    services.wait_for(by=desk, job=job, who="third party", what="Kit approval", until=until)
    assert "We expect to need" not in client.get(address(job)).content.decode()
    services.wait_no_more(by=desk, job=job)
    assert "We expect to need" in client.get(address(job)).content.decode()
    sent_estimate(job, desk)
    assert "We expect to need" not in client.get(address(job)).content.decode()


def test_a_question_of_the_owners_does_not_hide_what_is_expected(client, job):
    job.owner_questions.create(text="When?")
    assert "We expect to need" in client.get(address(job)).content.decode()


def test_nothing_internal_and_nobody_else(client, job, engineer):
    workshop()
    other = JobFactory(owner=OwnerFactory(name="Somebody Else"))
    sent_estimate(job, engineer)
    for browser in (client, let_in(client, job)):
        page = browser.get(address(job)).content.decode()
        for secret in ("Somebody Else", other.number, "Audit trail", "Triage", "/jobs/", engineer.last_name):
            assert secret not in page, secret


def test_nothing_personal_without_the_code(client, job):
    job.owner_questions.create(text="May the bull bar stay on?")
    page = client.get(address(job)).content.decode()
    for personal in (job.owner.name, job.owner.email, job.owner.phone, "bull bar"):
        assert personal not in page
    assert "bull bar" in let_in(client, job).get(address(job)).content.decode()


BEHIND_THE_CODE = ["estimate/", "estimate/1/pdf/", "files/", "mornings/", "questions/", "papers/certificate/"]


@pytest.mark.parametrize("rest", BEHIND_THE_CODE)
@pytest.mark.parametrize("method", ["get", "post"])
def test_what_is_personal_asks_for_the_code(client, job, rest, method):
    response = getattr(client, method)(address(job, rest))
    assert (response.status_code, response.url.partition("?")[0]) == (302, address(job, "code/"))


@pytest.mark.parametrize("rest", ["", *BEHIND_THE_CODE, "code/", "code/send/", "e-mail/"])
def test_a_code_for_one_job_opens_no_other(client, job, rest):
    let_in(client, job)
    other = JobFactory()
    page = client.get(address(other, rest))
    if rest in BEHIND_THE_CODE:
        assert page.url.partition("?")[0] == address(other, "code/")
    else:
        assert job.number not in page.content.decode()


def test_a_borrowed_phone_is_left(client, job):
    other = JobFactory()
    assert "Leave this page" not in client.get(address(job)).content.decode()
    let_in(let_in(client, job), other)
    assert "Leave this page on this device" in client.get(address(job)).content.decode()
    assert "needs a code again" in client.post(address(job, "leave/"), follow=True).content.decode()
    assert client.get(address(job, "files/")).status_code == 302
    assert client.get(address(other, "files/")).status_code == 200
    assert client.get(address(other, "leave/")).status_code == 302
    assert client.get(address(other, "files/")).status_code == 200


def test_choosing_what_holds_already_leaves_no_trace(client, job):
    before = job.audit_entries.count()
    for only in ("1", "1", "1", "0", "0"):
        client.post(address(job, "e-mail/"), {"only_essential": only})
    assert job.audit_entries.count() == before + 2


def test_an_owner_with_an_account_needs_no_code(as_, owner_user, owned_job):
    assert as_(owner_user).get(address(owned_job, "files/")).status_code == 200
    other = JobFactory(owner=OwnerFactory(user=UserFactory()))
    assert as_(owner_user).get(address(other, "files/")).status_code == 302


@pytest.mark.parametrize("token", ["x", "J2026-0001", "a" * 32, "..", "a" * 500, "%F0%9F%94%91", "' OR 1=1 --"])
def test_any_other_address_is_not_found(client, job, token):
    assert client.get(f"/owner/{token}/").status_code == 404


def expired(job):
    Job.objects.filter(pk=job.pk).update(stage="done")
    job.owner_links.update(expires_at=timezone.now() - timedelta(seconds=1))


def withdrawn(job):
    links.withdraw(job=job, by=None, pk=job.owner_links.get().pk)


@pytest.mark.parametrize("rest", ["", *BEHIND_THE_CODE, "code/", "code/send/", "e-mail/"])
def test_wrong_expired_and_withdrawn_look_alike(client, rest):
    workshop()
    answers = []
    for close in (expired, withdrawn):
        job = JobFactory()
        url = address(job, rest)
        let_in(client, job)
        close(job)
        answers.append(client.get(url))
        assert job.owner_token == ""
    answers.append(client.get(f"/owner/{'a' * 32}/{rest}"))
    pages = {answer.content.decode().split("<main")[1] for answer in answers}
    assert [answer.status_code for answer in answers] == [404] * 3
    assert len(pages) == 1
    assert "This address opens nothing" in pages.pop()


def test_a_link_holds_while_its_job_is_open_and_some_days_after(client, engineer):
    workshop(link_days=10)
    job = JobFactory(stage="certification")
    job.owner_links.update(expires_at=timezone.now() - timedelta(days=20))
    assert "10 days after the job is closed" in client.get(address(job)).content.decode()
    stages._set(job, "done", engineer, "Certificate and report done", left="certification", entered="done")
    link = job.owner_links.get()
    assert link.expires_at - timezone.now() > timedelta(days=9)
    assert address(job) in job.messages.get(kind="certificate_issued").body
    job.owner_links.update(expires_at=timezone.now() - timedelta(seconds=1))
    assert client.get(f"/owner/{link.token}/").status_code == 404


def near_misses(token, count):
    """Keys that differ from a right one in a single place: as close as a guess can come."""
    other = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"
    for n in range(count):
        place, sign = n % len(token), other[n // len(token)]
        if token[place] != sign:
            yield token[:place] + sign + token[place + 1 :]


@pytest.fixture
def _one_minute(monkeypatch):
    """The clock of the throttle stands: a slow machine does not get into the next minute."""
    monkeypatch.setattr(throttle, "time", lambda: 1_800_000_000.0)


@pytest.mark.usefixtures("_one_minute")
def test_a_thousand_guesses_open_nothing_say_nothing_and_lock_nobody_out(client, job, django_assert_max_num_queries):
    workshop()
    strange = [f"{'g' * 20}{n:012d}" for n in range(500)]
    tried = [*near_misses(job.owner_token, 520), *strange]
    assert len(tried) >= 1000
    began = timezone.now()
    answers = [client.get(f"/owner/{token}/", REMOTE_ADDR="203.0.113.9") for token in tried]
    spent = (timezone.now() - began).total_seconds()
    assert [answer.status_code for answer in answers] == [404] * FROM_ONE_ADDRESS + [429] * (
        len(tried) - FROM_ONE_ADDRESS
    )
    assert len({answer.content.decode().split("<main")[1] for answer in answers}) == 2  # first this, then too many
    # One for the link, two for each of the two counts; nothing else of the house is looked at any more.
    with django_assert_max_num_queries(5):
        page = client.get(f"/owner/{'h' * 32}/", REMOTE_ADDR="203.0.113.9")
    assert 0 < int(page["Retry-After"]) <= 60
    assert "Too many wrong addresses" in page.content.decode()
    for secret in (job.number, job.owner.name, job.vehicle.plate, job.vehicle.make):
        assert secret not in page.content.decode()
    # The owner is let in from anywhere, also through the very gateway that the guesses came through:
    # behind a proxy, or a telephone network, all owners share one address.
    for from_where in ("198.51.100.7", "203.0.113.9"):
        assert client.get(address(job), REMOTE_ADDR=from_where).status_code == 200
    assert spent < 30


@pytest.mark.usefixtures("_one_minute")
def test_a_throttled_stranger_with_a_link_of_their_own_gets_no_further_than_that(client, job):
    theirs = JobFactory()
    let_in(client, theirs)
    for n in range(FROM_ONE_ADDRESS + 5):
        client.get(f"/owner/{'g' * 20}{n:012d}/")
    assert client.get(address(theirs, "files/")).status_code == 200
    for rest in BEHIND_THE_CODE:
        assert client.get(address(job, rest)).url.startswith(address(job, "code/?next="))


def test_guessing_at_a_thousand_a_second_finds_no_link_in_the_age_of_the_universe():
    # 64 signs in 32 places; a million standing links; 1,000 guesses a second; 13.8e9 years (Planck 2018).
    chance = 1_000_000 * 1000 * 3.16e7 * 13.8e9 / 64 ** len(new_token())
    assert len(new_token()) == 32
    assert chance < 1e-20


def test_an_address_nobody_could_type_is_refused_plainly(client, job):
    for unreadable in ("/owner/%00/", "/sign-in/?next=%00"):
        response = client.get(unreadable)
        assert response.status_code == 400
        assert "cannot be read" in response.content.decode()


def test_tokens_are_long_and_never_the_same():
    tokens = {JobFactory().owner_token for _ in range(5)}
    assert len(tokens) == 5
    assert min(map(len, tokens)) >= 32


def test_a_paper_that_was_not_issued_is_not_found(client, job):
    assert let_in(client, job).get(address(job, "papers/certificate/")).status_code == 404


def test_the_owner_chooses_what_comes_by_mail(client, job):
    assert "Send me no news" in client.get(address(job, "e-mail/")).content.decode()
    client.post(address(job, "e-mail/"), {"only_essential": "1"})
    assert job.owner.no_mail
    client.post(address(job, "e-mail/"), {"only_essential": "0"})
    assert "Send me no news" in client.get(address(job, "e-mail/")).content.decode()


def test_a_job_without_a_standing_link_can_still_be_looked_at(as_, desk, owner_user, owned_job):
    expired(owned_job)
    assert "ring the workshop" in as_(owner_user).get("/").content.decode()
    assert as_(desk).get(owned_job.get_absolute_url()).status_code == 200
