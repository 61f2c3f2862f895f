"""The owner on a phone and the desk beside it, in Chromium: a code, an estimate, mornings, files, a question."""

import re
from datetime import timedelta

import pytest
from django.core import mail
from django.utils import timezone
from playwright.sync_api import expect

from jobs import owner_page
from jobs.models import Job
from jobs.owner_page import Morning
from tests.browser.keys import enter_at, on_paper, stands_zoomed, tab_to, type_at
from tests.browser.test_whole_job import PHONE, follow, photo, press
from tests.factories import JobFactory, UserFactory
from tests.owner_side import workshop

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def mornings(monkeypatch):
    days = [timezone.localdate() + timedelta(days=ahead) for ahead in (6, 7)]
    offered = [Morning(day=day, text=f"{day:%A} {day.day} {day:%B}, 7:00, Saltbush airstrip") for day in days]
    monkeypatch.setattr(owner_page, "_mornings", [lambda job: offered])
    return offered


def show_who_it_is(page):
    """Ask for the code, read the mail, type it."""
    enter_at(page, "^Send a code to")
    page.get_by_text("A code is on its way").wait_for()
    type_at(page, "^Code", re.search(r"\b\d{6}\b", mail.outbox[-1].body)[0])
    enter_at(page, "^Go on")


def closed_and_opened_again(page):
    """The same page in the same browser, after its tab was closed."""
    context, address, faults = page.context, page.url, page.faults
    page.close()
    again = context.new_page()
    again.faults = faults
    again.goto(address)
    return again


def test_owner_and_desk_settle_a_job_without_ringing(open_page, look, mornings):
    workshop()
    job = JobFactory()
    desk = open_page(UserFactory(username="desk", first_name="Dorothy", last_name="Finch", roles=["desk"]))
    desk.goto(f"/jobs/{job.number}/estimate/")
    look(desk, "estimate-empty")
    follow(desk, "Write an estimate")
    look(desk, "estimate-write")
    press(desk, "Write this version")
    press(desk, re.compile("Send to"))
    look(desk, "estimate-version")

    owner = open_page(width=PHONE)
    owner.goto(f"/owner/{job.owner_token}/")
    look(owner, "owner-link-only")
    stands_zoomed(owner)
    paper = on_paper(owner)
    for words in (job.vehicle.plate, "What happens next", "Where it stands", mornings[1].text, "This page works until"):
        assert words in paper
    enter_at(owner, "^Read the estimate and say yes or no")  # from here on the owner has a keyboard and no mouse
    look(owner, "owner-code")
    show_who_it_is(owner)  # and arrive where the way led
    look(owner, "owner-estimate")
    with owner.expect_download() as download:
        owner.get_by_role("link", name="The same as a PDF").click()
    assert download.value.suggested_filename == f"{job.number}-estimate-1.pdf"
    stands_zoomed(owner)
    assert "Inspection, report and certificate" in on_paper(owner)
    tab_to(owner, "^Remark")
    with owner.expect_navigation():
        owner.keyboard.press("Enter")  # the habit of a phone: it must not be a yes
    look(owner, "owner-estimate-sure")
    enter_at(owner, "^Back to the estimate")
    enter_at(owner, "^Yes, go ahead")
    enter_at(owner, "^Yes, I accept")
    assert owner.get_by_text("accepted").first.is_visible()

    enter_at(owner, "^Say which mornings do not suit you")
    tab_to(owner, re.escape(mornings[0].text))
    owner.keyboard.press("Space")
    look(owner, "owner-mornings")
    enter_at(owner, "^Send my answer")
    enter_at(owner, "^Send photos or papers")
    tab_to(owner, "^Photos or papers")
    # The window with the device's files is the browser's own, not the page's: what the focus stands at takes them.
    owner.locator(":focus").set_input_files([photo(), photo()])
    look(owner, "owner-files")
    enter_at(owner, "^Send$")
    enter_at(owner, "^Ask a question")
    type_at(owner, "^Your question", "May the bull bar stay on?")
    look(owner, "owner-ask")
    owner = closed_and_opened_again(owner)
    expect(owner.get_by_label("Your question*")).to_have_value("May the bull bar stay on?")
    owner.context.clear_cookies(name="sessionid")  # twelve hours are over
    enter_at(owner, "^Ask$")
    show_who_it_is(owner)
    expect(owner.get_by_label("Your question*")).to_have_value("May the bull bar stay on?")
    enter_at(owner, "^Ask$")
    assert job.owner_questions.get().text == "May the bull bar stay on?"
    assert owner.evaluate("Object.keys(localStorage)") == []

    desk.goto("/jobs/?who=desk")
    assert desk.get_by_text("Answer the owner: May the bull bar stay on? And 3 more from the owner.").is_visible()
    desk.goto(f"/jobs/{job.number}/")
    look(desk, "owner-words")
    press(desk, "Noted")
    assert desk.get_by_text("From the owner").count() == 0
    follow(desk, "1 question of the owner not answered.")
    look(desk, "owner-side")
    follow(desk, "Answer")
    desk.get_by_label("Answer*").fill("It may.")
    press(desk, "Answer")
    owner.reload()
    assert owner.get_by_text("It may.").is_visible()
    look(owner, "owner-answered")
    desk.goto(f"/jobs/{job.number}/messages/")
    look(desk, "messages")


def test_an_address_that_opens_nothing_says_so_plainly(open_page, look):
    workshop()
    owner = open_page(width=PHONE)
    owner.goto("/owner/nothing-behind-this-address-at-all/")
    owner.faults.clear()  # the browser itself reports the 404
    look(owner, "owner-closed")


def test_settings_and_figures(open_page, look):
    workshop()
    old = JobFactory()
    Job.objects.filter(pk=old.pk).update(stage="done", stage_since=timezone.now() - timedelta(days=4000))
    admin = open_page(UserFactory(username="admin", first_name="Ada", last_name="Tingle", roles=["admin"]))
    for address, name in (
        ("/workshop/", "workshop"),
        ("/workshop/signatories/", "signatories"),
        ("/workshop/prices/", "price-books"),
        ("/workshop/prices/new/", "price-book-new"),
        ("/workshop/old-files/", "old-files"),
        (f"/workshop/old-files/job/{old.pk}/", "old-file"),
        ("/workshop/messages/", "wordings"),
        ("/workshop/messages/estimate/", "wording"),
        ("/overview/", "overview"),
    ):
        admin.goto(address)
        look(admin, name)
    admin.goto("/workshop/prices/new/")
    admin.get_by_label("Name of this edition").fill("Summer")
    admin.locator("[name=lines-0-likely_aud]").fill("612.50")
    admin = closed_and_opened_again(admin)
    expect(admin.get_by_label("Name of this edition")).to_have_value("Summer")
    expect(admin.locator("[name=lines-0-likely_aud]")).to_have_value("612.50")
    admin.goto("/workshop/messages/estimate/")
    admin.get_by_label("Subject*").fill("For {owner}")
    press(admin, "Look at it")
    assert admin.get_by_text("For Olive Saltbush").is_visible()
