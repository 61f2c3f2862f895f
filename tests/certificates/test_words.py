"""certificates:words, the free-text parts of the report; and certificates:pages, the report as it will look."""

import base64
import re
from io import BytesIO

import pytest
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from certificates import papers
from certificates.services import issue
from tests.certificates_factories import ready_job, untested_job


def url(name, job):
    return reverse(f"certificates:{name}", args=[job.number])


def text_of(content):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages).split())


def test_what_is_written_stands_in_review_report_and_record(engineer, as_):
    job = untested_job(engineer)
    client = as_(engineer)
    typed = {
        "inspected": "Springs <b>and</b> hoses.",
        "conditions": "No roof load.\r\n\r\nNo tow bar.",
        "remarks": "",
    }
    assert client.post(url("words", job), typed).url == url("preview", job)
    assert "Springs &lt;b&gt;and&lt;/b&gt; hoses." in client.get(url("preview", job)).content.decode()
    certificate = issue(job=job, by=engineer)
    assert [part["part"] for part in certificate.record["words"]] == ["inspected", "conditions"]
    report, short = (text_of(papers.read(certificate, kind)) for kind in (papers.REPORT, papers.CERTIFICATE))
    assert "Springs <b>and</b> hoses." in report
    assert "No roof load." in short
    assert "Springs" not in short


def test_what_was_written_before_is_kept_in_the_trail(engineer, as_):
    job = untested_job(engineer)
    for text in ("First.", "Second.", "Second."):
        as_(engineer).post(url("words", job), {"remarks": text})
    befores = [e.details["before"] for e in job.audit_entries.filter(what="Words of the report saved").order_by("pk")]
    assert befores == [{"remarks": ""}, {"remarks": "First."}]


@pytest.mark.parametrize("text", ["x" * 4001, "a\0b"], ids=["too long", "NUL"])
def test_what_cannot_be_kept_is_said_and_not_lost(engineer, as_, text):
    response = as_(engineer).post(url("words", untested_job(engineer)), {"remarks": text})
    assert response.status_code == 200
    assert "Please mend" in response.content.decode()


def test_after_signing_no_word_changes(plain, engineer, as_):
    response = as_(engineer).post(url("words", plain.job), {"remarks": "Later."})
    assert response.url == plain.job.get_absolute_url()
    assert not plain.job.certificate_words.exists()


def test_the_review_shows_every_page_as_a_picture(engineer, as_):
    job = ready_job(engineer)
    assert url("pages", job) in as_(engineer).get(url("preview", job)).content.decode()
    shown = as_(engineer).get(url("pages", job)).content.decode()
    drafts = [as_(engineer).get(url(name, job)).content for name in ("draft_certificate", "draft")]
    pictures = re.findall(r'src="data:image/png;base64,([^"]+)"', shown)
    assert len(pictures) == sum(len(PdfReader(BytesIO(draft)).pages) for draft in drafts)
    assert shown.index("Certificate, 1 page<") < shown.index("Report, ")
    first = Image.open(BytesIO(base64.b64decode(pictures[0]))).convert("L")
    # A4 is taller than wide by the square root of two (ISO 216).
    assert first.height / first.width == pytest.approx(2**0.5, rel=0.01)
    dark = sum(first.histogram()[:128]) / (first.width * first.height)
    assert 0.005 < dark < 0.4
