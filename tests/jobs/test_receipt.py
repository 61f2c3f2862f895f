"""The receipt of booking in: on the screen, as PDF, by e-mail."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.utils import timezone
from pypdf import PdfReader

from jobs import receipt
from jobs.models import OutboxMessage
from tests.factories import JobFactory
from tests.owner_side import address, workshop

pytestmark = pytest.mark.django_db


def text_of(content):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages).split())


def test_it_says_what_was_written_down_and_what_happens_next(as_, desk, job):
    page = as_(desk).get(f"/jobs/{job.number}/receipt/").content.decode()
    for words in (job.number, job.vehicle.plate, job.owner.name, "Suspension lift", "285/70R17", "What happens next"):
        assert words in page
    assert "Deciding what is needed" in page


def test_the_pdf_says_the_same(as_, desk, job):
    response = as_(desk).get(f"/jobs/{job.number}/receipt.pdf")
    assert response["Content-Type"] == "application/pdf"
    text = text_of(response.content)
    assert job.number in text
    assert "Suspension lift: front 50 mm, rear 50 mm" in text
    assert "The engineer decides which tests and reports your vehicle needs" in text
    assert "We are writing down" not in text


def test_it_is_put_into_the_outbox_with_the_pdf(as_, desk, job):
    as_(desk).post(f"/jobs/{job.number}/receipt/send/")
    message = OutboxMessage.objects.get(job=job)
    assert message.to == job.owner.email
    assert job.number in message.subject
    assert "Suspension lift" in message.body
    assert job.number in text_of(bytes(message.attachments.get().content))
    entry = job.audit_entries.get()
    assert entry.what == "Receipt sent to the owner"
    # The trail is kept for good, an address is not.
    assert job.owner.email not in f"{entry.what}{entry.details}"


def test_without_an_address_it_is_not_sent_and_says_so(as_, desk):
    job = JobFactory(owner__email="")
    page = as_(desk).post(f"/jobs/{job.number}/receipt/send/", follow=True).content.decode()
    assert "No e-mail of the owner is written down" in page
    assert not OutboxMessage.objects.exists()


def test_what_an_owner_is_called_cannot_change_the_page(as_, desk):
    job = JobFactory(owner__name="<script>alert(1)</script>")
    assert "<script>alert" not in as_(desk).get(f"/jobs/{job.number}/receipt/").content.decode()
    assert "<script>alert(1)</script>" in text_of(as_(desk).get(f"/jobs/{job.number}/receipt.pdf").content)


def test_it_carries_the_letterhead_and_the_owners_own_page(as_, desk, job):
    workshop(web_address="https://book.example")
    page = as_(desk).get(f"/jobs/{job.number}/receipt/").content.decode()
    text = text_of(as_(desk).get(f"/jobs/{job.number}/receipt.pdf").content)
    as_(desk).post(f"/jobs/{job.number}/receipt/send/")
    mail = OutboxMessage.objects.get(job=job)
    for words in ("Quandong Engineering", "Lot 7, Mulga Road", "ABN 51 824 753 556"):
        assert words in page
        assert words in text
    own = f"https://book.example{address(job)}"
    assert own in page
    assert own in text.replace(" ", "")
    assert own in mail.body
    assert "Quandong Engineering" in mail.body
    assert mail.kind == "booked_in"
    assert "Tell us what was fitted" in mail.body


def test_the_code_on_it_leads_to_the_owners_page(as_, desk, job):
    from pypdfium2 import PdfDocument
    from zxingcpp import read_barcodes

    workshop(web_address="https://book.example")
    content = as_(desk).get(f"/jobs/{job.number}/receipt.pdf").content
    codes = [code for page in PdfDocument(content) for code in read_barcodes(page.render(scale=3).to_pil())]
    assert [code.text for code in codes] == [f"https://book.example{address(job)}"]


def test_without_an_address_in_the_settings_that_of_the_installation_counts(monkeypatch, job):
    monkeypatch.setenv("JOBBOOK_ADDRESS", "https://from-outside.example/")
    assert receipt.contents(job)["page"] == f"https://from-outside.example{address(job)}"
    workshop(web_address="https://book.example")
    assert receipt.contents(job)["page"] == f"https://book.example{address(job)}"


def test_a_vehicle_that_is_announced_is_brought_in_first(as_, desk, job):
    job.expected_at = timezone.now() + timedelta(days=3)
    job.save()
    page = as_(desk).get(f"/jobs/{job.number}/receipt/").content.decode()
    assert "You bring the vehicle in on" in page
    assert "Then the engineer decides" in page
