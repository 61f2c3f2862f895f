"""A certificate from the review to the audit, driven in Chromium by engineer, stranger and auditor."""

import pytest

from certificates import importing, papers
from certificates.check import verify_chain
from certificates.demo import signing_key
from certificates.models import Certificate
from tests.certificates_factories import ready_job
from tests.factories import UserFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = 390
SECRET = "only for this test"


@pytest.fixture
def cast(transactional_db):
    engineer = UserFactory(
        username="engineer", first_name="Edmund", last_name="Karri", roles=["engineer"], authority_number="SIG-0042"
    )
    signing_key.make(engineer, secret=SECRET)
    auditor = UserFactory(username="auditor", first_name="Ada", last_name="Tingle", roles=["auditor"])
    return {"engineer": engineer, "auditor": auditor}


def follow(page, name):
    page.get_by_role("main").get_by_role("link", name=name).first.click()
    page.wait_for_load_state()


def press(page, name):
    # Two papers are drawn and signed behind some of these buttons, on whatever machine this runs.
    page.get_by_role("main").get_by_role("button", name=name, exact=True).click(timeout=60_000)
    page.wait_for_load_state()


def review_and_sign(page, job, look):
    page.goto(f"/jobs/{job.number}/certificate/preview/")
    page.locator("img.sheet").first.wait_for()
    assert page.locator("img.sheet").count() >= 4
    look(page, "report-pages")
    follow(page, "Write inspection, conditions and remarks")
    page.get_by_label("Conditions of this certificate").fill("Tyres of the listed size only.")
    look(page, "report-words")
    press(page, "Save")
    assert page.get_by_text("Tyres of the listed size only.").is_visible()
    follow(page, "Go on to sign")
    page.get_by_role("checkbox").check()
    page.get_by_label("Passphrase or PIN of your signing key").fill(SECRET)
    look(page, "sign")
    press(page, "Sign and issue")
    return Certificate.objects.get()


def check_as_stranger(page, certificate, look, tmp_path):
    page.goto(f"/check/{certificate.check_code.lower()}/")
    assert page.get_by_text("Valid.").is_visible()
    paper = tmp_path / "certificate.pdf"
    paper.write_bytes(papers.read(certificate, papers.CERTIFICATE))
    page.get_by_label("Your PDF").set_input_files(paper)
    press(page, "Compare")
    assert page.get_by_text("The same.").is_visible()
    look(page, "check-valid")
    paper.write_bytes(paper.read_bytes() + b" ")
    page.get_by_label("Your PDF").set_input_files(paper)
    press(page, "Compare")
    assert page.get_by_text("Another file.").is_visible()


def correct(page, certificate, look):
    page.goto(certificate.get_absolute_url())
    look(page, "certificate-signed")
    follow(page, "Correct it")
    page.get_by_label("Plate", exact=True).fill("abc-99x")
    page.get_by_label("Why").fill("Typed wrong at the counter.")
    page.get_by_role("checkbox").check()
    page.get_by_label("Passphrase or PIN of your signing key").fill(SECRET)
    look(page, "correct")
    press(page, "Sign and issue the correction")
    return Certificate.objects.get(replaces=certificate)


def audit(page, certificate, look):
    page.goto("/register/")
    page.get_by_text("More to search by").click()
    page.get_by_label("VIN, or any part").fill(certificate.vin[5:11])
    page.get_by_label("State").select_option("valid")
    press(page, "Find")
    assert page.get_by_role("row").count() == 2
    look(page, "register-search")
    follow(page, certificate.number)
    follow(page, "The whole file")
    look(page, "whole-file")
    page.goto("/register/")
    follow(page, "Draw a sample of these")
    page.get_by_label("How many").fill("2")
    press(page, "Draw")
    look(page, "audit")
    follow(page, "Record a finding")
    page.get_by_label("minor").check()
    page.get_by_label("What was found").fill("Photo 1 is blurred.")
    look(page, "finding")
    press(page, "Record the finding")
    follow(page, "All audits")
    look(page, "audits")
    page.get_by_role("table").first.get_by_role("link").first.click()
    page.wait_for_load_state()
    page.get_by_label("What was done").fill("Taken again.")
    page.get_by_label("This settles the finding").check()
    look(page, "follow-up")
    press(page, "Record it")


def test_a_certificate_is_signed_checked_corrected_audited_and_withdrawn(cast, open_page, look, tmp_path):
    table = tmp_path / "old.csv"
    table.write_text("number,issued_on,owner,plate,vehicle\nOLD/17,2011-02-03,Olive Adams,OLD17,1999 Roadster\n")
    list(importing.run(file=table, pdfs=None))
    job = ready_job(cast["engineer"])
    engineer = open_page(cast["engineer"])
    first = review_and_sign(engineer, job, look)
    assert first.record["signing_key"]["self_made"]

    stranger = open_page(width=PHONE)
    check_as_stranger(stranger, first, look, tmp_path)
    second = correct(engineer, first, look)
    assert second.plate == "ABC99X"
    stranger.goto(f"/check/{first.check_code}/")
    assert stranger.get_by_text("Superseded.").is_visible()

    auditor = open_page(cast["auditor"])
    audit(auditor, second, look)

    engineer.goto(f"{second.get_absolute_url()}withdraw/")
    engineer.get_by_label("Why").fill("The lift kit was recalled.")
    engineer.get_by_role("checkbox").check()
    look(engineer, "withdraw")
    press(engineer, "Withdraw it")
    look(engineer, "certificate-withdrawn")
    stranger.goto(f"/check/{second.check_code}/")
    assert stranger.get_by_text("Withdrawn.").is_visible()
    look(stranger, "check-withdrawn")
    stranger.goto("/check/")
    look(stranger, "check-code")
    auditor.goto("/register/head/")
    look(auditor, "register-head")
    assert list(verify_chain()) == []
