"""certificates:certificate_pdf and report_pdf, and the same papers on the owner's page."""

from io import BytesIO

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.urls import reverse

from certificates import importing
from certificates.models import ImportedCertificate
from certificates.seal import sha256_of
from certificates.services import issue
from tests.certificates_factories import untested_job
from tests.owner_side import let_in

KINDS = ["certificate", "report"]


@pytest.fixture
def issued(engineer, plain_papers):
    return issue(job=untested_job(engineer), by=engineer)


def url(certificate, kind):
    return reverse(f"certificates:{kind}_pdf", args=[certificate.number])


def owner_url(certificate, kind):
    return reverse("jobs:owner_paper", args=[certificate.job.owner_token, kind])


def exchange(certificate, kind):
    name = getattr(certificate, f"{kind}_pdf").name
    default_storage.delete(name)
    default_storage.save(name, BytesIO(b"%PDF-forged"))


@pytest.mark.parametrize("kind", KINDS)
def test_the_file_is_handed_out_byte_for_byte(issued, auditor, as_, kind):
    response = as_(auditor).get(url(issued, kind))
    assert sha256_of(response.content) == getattr(issued, f"{kind}_sha256")
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == f'attachment; filename="{issued.number}-{kind}.pdf"'


@pytest.mark.parametrize("kind", KINDS)
def test_a_changed_file_is_held_back_and_written_down(issued, auditor, as_, kind):
    exchange(issued, kind)
    response = as_(auditor).get(url(issued, kind))
    assert response.status_code == 409
    assert b"%PDF" not in response.content
    assert f"the {kind} PDF is not the one that was issued" in response.content.decode()
    entry = issued.job.audit_entries.first()
    assert (entry.by, entry.details["certificate"]) == (auditor, issued.number)


@pytest.mark.parametrize("kind", KINDS)
def test_the_owner_takes_the_same_bytes_home(issued, client, kind):
    page = client.get(reverse("jobs:owner_page", args=[issued.job.owner_token])).content.decode()
    assert owner_url(issued, kind) in page
    response = let_in(client, issued.job).get(owner_url(issued, kind))
    assert sha256_of(b"".join(response.streaming_content)) == getattr(issued, f"{kind}_sha256")
    assert f'filename="{issued.number}-{kind}.pdf"' in response["Content-Disposition"]


def test_the_owner_gets_no_changed_file_either(issued, client):
    exchange(issued, "certificate")
    assert let_in(client, issued.job).get(owner_url(issued, "certificate")).status_code == 404
    assert issued.job.audit_entries.first().by is None


def test_before_it_is_issued_the_owner_has_no_paper(engineer, client):
    job = untested_job(engineer)
    page = client.get(reverse("jobs:owner_page", args=[job.owner_token])).content.decode()
    assert "The engineer reviews the record and signs." in page
    paper = reverse("jobs:owner_paper", args=[job.owner_token, "certificate"])
    assert let_in(client, job).get(paper).status_code == 404


@pytest.mark.parametrize("kind", KINDS)
def test_who_has_no_right_to_the_register_gets_no_file(issued, driver_user, as_, client, kind):
    assert client.get(url(issued, kind)).status_code == 302
    assert as_(driver_user).get(url(issued, kind)).status_code == 403


@pytest.mark.parametrize("became", [b"%PDF-1.4 other", None])
def test_the_paper_of_a_past_certificate_is_held_back_too(engineer, as_, tmp_path, became):
    (tmp_path / "a.pdf").write_bytes(b"%PDF-1.4 old")
    (tmp_path / "old.csv").write_text("number,issued_on,owner,plate,pdf\nOLD/1,2011-02-03,Olive,OLD1,a.pdf\n")
    list(importing.run(file=tmp_path / "old.csv", pdfs=tmp_path))
    one = ImportedCertificate.objects.get()
    default_storage.delete(one.pdf.name)
    if became:
        default_storage.save(one.pdf.name, ContentFile(became))
    answer = as_(engineer).get(reverse("certificates:imported_pdf", args=[one.pk]))
    assert answer.status_code == 409
    assert one.get_absolute_url() in answer.content.decode()
