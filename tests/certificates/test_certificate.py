"""certificates:certificate, one entry of the register; and its panel on the job's page."""

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse

from certificates.services import issue
from tests.certificates_factories import ready_job, untested_job


@pytest.fixture
def issued(engineer, plain_papers):
    return issue(job=untested_job(engineer), by=engineer)


def url(certificate):
    return reverse("certificates:certificate", args=[certificate.number])


def test_facts_come_from_the_record_and_the_seal_is_computed_again(engineer, auditor, as_):
    certificate = issue(job=ready_job(engineer), by=engineer)
    page = as_(auditor).get(url(certificate)).content.decode()
    assert "Seal holds." in page
    for said in (
        "Lane-change test passed.",
        certificate.vin,
        "2,282\N{NO-BREAK SPACE}kg",
        "2,610\N{NO-BREAK SPACE}kg",
        "110",
        "1.3 to 2.2",
    ):
        assert said in page
    assert certificate.seal in page.replace(" ", "")
    for kind in ("certificate_pdf", "report_pdf"):
        assert reverse(f"certificates:{kind}", args=[certificate.number]) in page


def test_later_changes_of_the_owner_do_not_reach_it(issued, auditor, as_):
    name = issued.record["owner"]["name"]
    issued.job.owner.name = "Somebody Else"
    issued.job.owner.save()
    page = as_(auditor).get(url(issued)).content.decode()
    assert name in page
    assert "Somebody Else" not in page
    assert "Seal holds." in page


def test_a_broken_entry_says_so_in_words_and_offers_no_file(issued, auditor, as_):
    default_storage.delete(issued.report_pdf.name)
    page = as_(auditor).get(url(issued)).content.decode()
    assert "Seal broken" in page
    assert "the report PDF is missing from the store" in page
    assert reverse("certificates:report_pdf", args=[issued.number]) not in page


def test_a_number_that_does_not_exist(auditor, as_, db):
    assert as_(auditor).get("/register/C1999-0001/").status_code == 404


def test_drivers_and_owners_have_no_way_in(issued, driver_user, as_):
    assert as_(driver_user).get(url(issued)).status_code == 403


def test_the_job_page_leads_to_the_review_and_then_to_the_entry(engineer, as_):
    job = untested_job(engineer)
    page = as_(engineer).get(job.get_absolute_url()).content.decode()
    assert reverse("certificates:preview", args=[job.number]) in page
    certificate = issue(job=job, by=engineer)
    assert url(certificate) in as_(engineer).get(job.get_absolute_url()).content.decode()
