"""certificates:check and enter_code: what anybody may see of a certificate."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from pypdf import PdfReader

from certificates import after_issue, checking, papers, visits
from certificates.services import issue
from jobs import throttle
from tests.certificates_factories import ready_job, untested_job


def url(certificate):
    return reverse("certificates:check", args=[checking.spelled(certificate.check_code)])


def test_the_address_on_the_paper_leads_here(engineer, client):
    certificate = issue(job=ready_job(engineer), by=engineer)
    address = certificate.record["check"]["address"]
    assert address.endswith(url(certificate))
    reader = PdfReader(BytesIO(papers.read(certificate, papers.CERTIFICATE)))
    text = "".join(page.extract_text() for page in reader.pages)
    assert address.removeprefix("http://") in text.replace("\n", "").replace(" ", "")
    page = client.get(url(certificate)).content.decode()
    assert "Valid." in page
    assert "Lane-change test passed" in page
    assert certificate.vin[-6:] in page


def test_nothing_personal_is_shown(engineer, client):
    certificate = issue(job=ready_job(engineer), by=engineer)
    page = client.get(url(certificate)).content.decode()
    record = certificate.record
    day = record["test_days"][0]
    for secret in (
        *(record["owner"]["name"], record["vehicle"]["plate"], record["vehicle"]["vin"], record["job"]["number"]),
        *(record["signatory"]["name"], day["driver"]["name"], day["site"], certificate.job.owner.phone),
        *(certificate.job.owner.email, certificate.job.owner_token),
    ):
        assert str(secret) not in page


def test_headers_keep_the_address_from_leaking(plain, client):
    response = client.get(url(plain))
    assert response["Referrer-Policy"] == "same-origin"
    assert "noindex" in response["X-Robots-Tag"]
    assert "no-store" in response["Cache-Control"]


def test_withdrawn_and_superseded_are_told_without_the_reason(plain, engineer, client):
    after_issue.withdraw(subject=plain, by=engineer, reason="Olive sold parts of it")
    page = client.get(url(plain)).content.decode()
    assert "Withdrawn." in page
    assert "Olive sold" not in page


def test_superseded_does_not_lead_to_the_new_one(plain, engineer, client):
    new = after_issue.correct(certificate=plain, by=engineer, changes={"plate": "NEW01"}, reason="Typed wrong")
    page = client.get(url(plain)).content.decode()
    assert "Superseded." in page
    assert new.number not in page
    assert checking.spelled(new.check_code) not in page
    assert "Valid." in client.get(url(new)).content.decode()


@pytest.mark.parametrize("kind", ["certificate", "report"])
def test_the_issued_file_is_recognised(plain, client, kind):
    content = papers.read(plain, next(k for k in papers.KINDS if k.key == kind))
    page = client.post(url(plain), {"file": SimpleUploadedFile("mine.pdf", content)}).content.decode()
    assert f"byte for byte, the {kind} that was issued" in page


@pytest.mark.parametrize("change", ["one bit", "one byte more", "of another certificate"])
def test_any_other_file_is_told_apart(plain, engineer, client, change):
    content = papers.read(plain, papers.CERTIFICATE)
    changed = {
        "one bit": bytes([content[0] ^ 1]) + content[1:],
        "one byte more": content + b"\n",
        "of another certificate": papers.read(issue(job=untested_job(engineer), by=engineer), papers.CERTIFICATE),
    }[change]
    page = client.post(url(plain), {"file": SimpleUploadedFile("mine.pdf", changed)}).content.decode()
    assert "Another file." in page


def test_bad_uploads_are_answered_in_words(plain, client, monkeypatch):
    assert "This field is required" in client.post(url(plain), {}).content.decode()
    empty = client.post(url(plain), {"file": SimpleUploadedFile("mine.pdf", b"")})
    assert "The file is empty" in empty.content.decode()
    monkeypatch.setattr("certificates.check_forms.LARGEST_MB", 0)
    large = client.post(url(plain), {"file": SimpleUploadedFile("mine.pdf", b"%PDF")})
    assert "allowed are 0 MB" in large.content.decode()


@pytest.mark.parametrize("typed", ["lower", "spaces", "printed"])
def test_the_code_is_read_however_it_is_typed(plain, client, typed):
    code = plain.check_code
    as_typed = {"lower": code.lower(), "spaces": " ".join(code), "printed": checking.spelled(code)}[typed]
    response = client.post(reverse("certificates:enter_code"), {"code": as_typed})
    assert response.url == url(plain)


@pytest.mark.parametrize("typed", ["", "ABC", "SIG-0042-2026-0001", "x" * 61])
def test_what_is_no_code_is_told_so(plain, client, typed):
    response = client.post(reverse("certificates:enter_code"), {"code": typed})
    assert response.status_code == 200
    assert "Please mend" in response.content.decode()


def test_numbers_lead_nowhere(plain, client):
    for guess in (plain.number, str(plain.pk), plain.seal[:20], "A" * 20):
        answer = client.get(f"/check/{guess}/")
        assert answer.status_code == 404
        assert "No certificate has this code" in answer.content.decode()


def test_codes_are_drawn_from_a_hundred_bits():
    codes = {checking.new_code() for _ in range(500)}
    assert len(codes) == 500
    assert {len(code) for code in codes} == {20}
    assert len({letter for code in codes for letter in code}) == 32


def test_too_many_in_a_minute_are_sent_away_and_let_in_again(plain, client, monkeypatch):
    now = 1_800_000_000.0
    monkeypatch.setattr(throttle, "time", lambda: now)
    answers = [client.get("/check/AAAAA/").status_code for _ in range(visits.A_MINUTE)]
    assert answers == [404] * visits.A_MINUTE
    late = client.get(url(plain))
    assert late.status_code == 429
    assert 0 < int(late["Retry-After"]) <= 60
    # Somebody else is not kept waiting, and neither is the first one a minute later.
    assert client.get(url(plain), REMOTE_ADDR="192.0.2.7").status_code == 200
    monkeypatch.setattr(throttle, "time", lambda: now + timedelta(minutes=1).total_seconds())
    assert client.get(url(plain)).status_code == 200
