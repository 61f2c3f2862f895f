"""The job book and the other pages of the desk in Chromium: keyboard, widths, zoom, paper."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs import services
from jobs.models import BookLine, BookView
from tests.browser.keys import Keys, on_paper, stands_zoomed
from tests.factories import JobFactory, OwnerFactory, UserFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def desk(transactional_db):
    return UserFactory(username="desk", first_name="Dorothy", last_name="Finch", roles=["desk"])


@pytest.fixture
def book(desk):
    """A day at the desk: every kind of line, one of them late."""
    hilda = OwnerFactory(name="Hilda Heath", phone="0491 570 110")
    jobs = {
        "late": JobFactory(modifications=[]),
        "hilda": JobFactory(owner=hilda, vehicle__plate="WOMBAT", stage="triage"),
        "expected": JobFactory(expected_at=timezone.now() + timedelta(hours=20)),
        "third": JobFactory(stage="triage"),
        "done": JobFactory(stage="done"),
    }
    jobs["late"].stage_since = timezone.now() - timedelta(days=3)
    jobs["late"].save(update_fields=["stage_since"])
    until = timezone.localdate() + timedelta(days=9)
    services.wait_for(by=desk, job=jobs["third"], who="third party", what="Approval of the spring kit", until=until)
    return jobs


def test_the_book_is_used_with_the_keyboard_alone(desk, book, open_page, look):
    page = open_page(desk)
    look(page, "desk-job-book")
    page.get_by_label("Find a job").focus()
    keys = Keys(page)
    keys.type("0491570110")
    page.locator("#lines tbody tr:not(.actor)").nth(1).wait_for(state="detached")
    assert "q=0491570110" in page.url
    keys.press("ArrowDown")
    keys.at(book["hilda"].number)
    keys.press("Escape")
    assert page.evaluate("document.activeElement.id") == "q"
    keys.press("ArrowDown")
    keys.enter()
    page.wait_for_url(f"**/jobs/{book['hilda'].number}/")
    look(page, "desk-job")


def test_arrows_go_through_the_lines_and_filters_stay_in_the_address(desk, book, open_page):
    page = open_page(desk)
    keys = Keys(page)
    assert page.evaluate("document.activeElement.id") == "q"
    keys.press("ArrowDown")
    keys.at(book["late"].number)
    keys.press("ArrowDown", "ArrowUp")
    keys.at(book["late"].number)
    keys.press("End")
    keys.at(book["third"].number)
    page.get_by_label("Who must act").select_option("owner")
    page.wait_for_url("**who=owner**")
    page.reload()
    assert page.get_by_label("Who must act").input_value() == "owner"
    assert page.locator("#lines tbody tr:not(.actor)").count() == 1
    page.get_by_label("Name", exact=True).fill("Owners")
    page.get_by_role("button", name="Keep this view").click()
    page.get_by_role("link", name="Owners").wait_for()
    assert BookView.objects.get().query == "who=owner"


def test_every_page_of_the_desk_stands_at_both_widths_zoomed_and_on_paper(desk, book, open_page, look, tmp_path):
    page = open_page(desk)
    number = book["hilda"].number
    for name in ("waiting", "receipt", "modifications", "photos", "owner", "vehicle"):
        page.goto(f"/jobs/{number}/{name}/")
        look(page, f"desk-{name}")
    for path in ("/jobs/", "/jobs/book-in/", f"/jobs/{number}/", f"/jobs/{number}/receipt/"):
        page.goto(path)
        stands_zoomed(page)
        page.emulate_media(media="print")
        assert page.locator(".head").is_hidden()
        assert page.get_by_role("heading", level=1).is_visible()
        page.screenshot(path=tmp_path / f"print-{path.strip('/').replace('/', '-')}.png", full_page=True)
        page.emulate_media(media="screen")
    page.goto("/jobs/")
    paper = on_paper(page)
    for job in (book["late"], book["hilda"], book["expected"], book["third"]):
        assert job.number in paper
    for words in ("late by 2 days", "Approval of the spring kit", "as agreed when it was set to wait"):
        assert words in paper
    page.goto(f"/jobs/{number}/receipt/")
    assert "Your own page" in on_paper(page)
    page.emulate_media(media="print")
    assert page.get_by_role("button", name="Print").is_hidden()
    assert page.get_by_text("What happens next").is_visible()


def test_lines_are_worked_out_once_the_act_is_done(desk, book, open_page):
    """After the commit, not only when somebody looks at the book."""
    line = BookLine.objects.get(job=book["third"])
    assert (line.who, line.act) == ("third party", "Approval of the spring kit")
    assert line.look_again_at is None
