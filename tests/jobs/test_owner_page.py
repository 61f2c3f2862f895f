"""The owner's page: behind an address nobody guesses, showing this job and nothing else."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.owners import links
from jobs.owners.throttle import FROM_ONE_ADDRESS, Throttle, guesses
from tests.factories import JobFactory, OwnerFactory, UserFactory
from tests.owner_side import address, let_in, sent_estimate, workshop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nobody_has_guessed_yet():
    guesses.forget()


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
    assert (response.status_code, response.url) == (302, address(job, "code/"))


@pytest.mark.parametrize("rest", ["", *BEHIND_THE_CODE, "code/", "code/send/", "e-mail/"])
def test_a_code_for_one_job_opens_no_other(client, job, rest):
    let_in(client, job)
    other = JobFactory()
    page = client.get(address(other, rest))
    if rest in BEHIND_THE_CODE:
        assert page.url == address(other, "code/")
    else:
        assert job.number not in page.content.decode()


def test_an_owner_with_an_account_needs_no_code(as_, owner_user, owned_job):
    assert as_(owner_user).get(address(owned_job, "files/")).status_code == 200
    other = JobFactory(owner=OwnerFactory(user=UserFactory()))
    assert as_(owner_user).get(address(other, "files/")).status_code == 302


@pytest.mark.parametrize("token", ["x", "J2026-0001", "a" * 32, "..", "a" * 500, "%F0%9F%94%91", "' OR 1=1 --"])
def test_any_other_address_is_not_found(client, job, token):
    assert client.get(f"/owner/{token}/").status_code == 404


def expired(job):
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


def test_guessing_gets_a_clear_page_and_locks_nobody_out(client, job, django_assert_max_num_queries):
    began = timezone.now()
    codes = [client.get(f"/owner/{'g' * 20}{n:012d}/").status_code for n in range(200)]
    spent = (timezone.now() - began).total_seconds()
    assert codes == [404] * FROM_ONE_ADDRESS + [429] * (200 - FROM_ONE_ADDRESS)
    with django_assert_max_num_queries(1):
        page = client.get(f"/owner/{'h' * 32}/")
    assert page["Retry-After"] == "60"
    assert "Too many wrong addresses" in page.content.decode()
    assert job.number not in page.content.decode()
    assert client.get(address(job)).status_code == 200
    assert spent < 20


def test_the_count_begins_anew_after_its_window():
    now = [0.0]
    throttle = Throttle(clock=lambda: now[0])
    assert [throttle.wrong("192.0.2.1") for _ in range(FROM_ONE_ADDRESS + 1)][-1]
    assert not throttle.wrong("192.0.2.2")
    now[0] = 61
    assert not throttle.wrong("192.0.2.1")


def test_many_addresses_together_are_too_many_as_well():
    throttle = Throttle(clock=lambda: 0.0)
    assert [throttle.wrong(f"192.0.2.{n % 250}-{n}") for n in range(201)][-1]


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
