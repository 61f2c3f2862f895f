"""The owner's page: behind an address nobody guesses, showing this job and nothing else."""

import pytest

from tests.factories import JobFactory, OwnerFactory

pytestmark = pytest.mark.django_db


def test_the_right_address_shows_where_the_job_stands(client, job):
    response = client.get(f"/owner/{job.owner_token}/")
    page = response.content.decode()
    assert response.status_code == 200
    assert "What happens next" in page
    assert "Tourer" in page
    assert response["Referrer-Policy"] == "no-referrer"
    assert "no-store" in response["Cache-Control"]


def test_it_shows_the_estimate(client, job):
    page = client.get(f"/owner/{job.owner_token}/").content.decode()
    assert "About $2,1" in page or "About $2,2" in page or "About $2,3" in page or "About $2,4" in page


def test_nothing_internal_and_nobody_else(client, job):
    other = JobFactory(owner=OwnerFactory(name="Somebody Else"))
    page = client.get(f"/owner/{job.owner_token}/").content.decode()
    assert "Somebody Else" not in page
    assert other.number not in page
    assert "Audit trail" not in page
    assert "Triage" not in page


@pytest.mark.parametrize("token", ["x", "J2026-0001", "a" * 32, ".."])
def test_any_other_address_is_not_found(client, job, token):
    assert client.get(f"/owner/{token}/").status_code == 404


def test_an_address_nobody_could_type_is_refused_plainly(client, job):
    for address in ("/owner/%00/", "/sign-in/?next=%00"):
        response = client.get(address)
        assert response.status_code == 400
        assert "cannot be read" in response.content.decode()


def test_tokens_are_long_and_never_the_same():
    tokens = {JobFactory().owner_token for _ in range(5)}
    assert len(tokens) == 5
    assert min(map(len, tokens)) >= 32


def test_a_paper_that_was_not_issued_is_not_found(client, job):
    assert client.get(f"/owner/{job.owner_token}/papers/certificate/").status_code == 404
