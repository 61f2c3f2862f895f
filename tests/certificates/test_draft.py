"""certificates:draft, the report as it will look."""

from io import BytesIO

from django.urls import reverse
from pypdf import PdfReader

from certificates.models import Certificate
from jobs.models import Counter
from tests.certificates_factories import ready_job, sign_triage
from tests.factories import JobFactory


def _pages(as_, engineer, job):
    response = as_(engineer).get(reverse("certificates:draft", args=[job.number]))
    assert response["Content-Type"] == "application/pdf"
    assert response["Cache-Control"] == "private, no-store"
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(response.content)).pages]


def test_every_page_says_draft_and_none_has_a_number(engineer, as_):
    pages = _pages(as_, engineer, ready_job(engineer))
    assert all("DRAFT, not a certificate" in page for page in pages)
    assert "no number, no seal" not in pages[0]
    assert "It has no number and no seal, and certifies nothing." in pages[0]
    assert "Lane-change test passed" in pages[0] and "Would state" not in pages[0]
    assert not Certificate.objects.exists()
    assert not Counter.objects.filter(name__startswith="certificate").exists()


def test_a_draft_of_what_is_not_so_yet_does_not_say_that_it_is(engineer, as_):
    job = JobFactory()
    sign_triage(job, engineer)
    # Not tested, nothing stated: whoever finds this paper must not take the vehicle for tested.
    for name in ("draft", "draft_certificate"):
        response = as_(engineer).get(reverse(f"certificates:{name}", args=[job.number]))
        text = " ".join(PdfReader(BytesIO(response.content)).pages[0].extract_text().split())
        assert "It cannot be signed yet: " in text and "points are open." in text
        assert "Would state: Lane-change test passed" in text
    assert "What it would state, once nothing stands in the way" in (
        as_(engineer).get(reverse("certificates:preview", args=[job.number])).content.decode()
    )


def test_a_job_of_which_nothing_is_known_yet(engineer, as_, job):
    pages = _pages(as_, engineer, job)
    assert "No outcome yet: the triage is not signed." in pages[0]


def test_only_the_engineer_sees_it(auditor, job, as_):
    assert as_(auditor).get(reverse("certificates:draft", args=[job.number])).status_code == 403


def test_the_certificate_itself_is_a_draft_too(engineer, as_):
    job = ready_job(engineer)
    response = as_(engineer).get(reverse("certificates:draft_certificate", args=[job.number]))
    (page,) = PdfReader(BytesIO(response.content)).pages
    text = " ".join(page.extract_text().split())
    assert "DRAFT, not a certificate" in text and "DRAFT: not signed, not sealed, no number." in text
    assert "Lane-change test passed" in text


def test_a_certificate_of_which_nothing_is_known_yet(engineer, as_, job):
    response = as_(engineer).get(reverse("certificates:draft_certificate", args=[job.number]))
    assert "No outcome yet" in PdfReader(BytesIO(response.content)).pages[0].extract_text()
