"""The job book and the other pages of the desk in Chromium: keyboard, widths, zoom, paper."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs import endings, outbox, services
from jobs.models import BookLine, BookView, PriceBookEdition
from tests.browser.keys import Keys, on_paper, stands_zoomed
from tests.factories import JobFactory, OwnerFactory, UserFactory
from tests.owner_side import address, sent_estimate, workshop
from vehicles.models import Vehicle

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


def test_going_back_brings_the_whole_book_and_leaves_no_copy_of_it_in_the_tab(desk, book, open_page):
    page = open_page(desk)
    page.goto("/jobs/")
    page.get_by_label("Who must act").select_option("owner")
    page.wait_for_url("**who=owner**")
    page.get_by_label("Who must act").select_option("desk")
    page.wait_for_url("**who=desk**")
    assert page.evaluate("sessionStorage.getItem('htmx-history-cache')") is None
    page.go_back()
    page.wait_for_function("document.querySelector('#who').value === 'owner'")
    assert "who=owner" in page.url
    assert page.get_by_role("heading", level=1).inner_text() == "Open jobs"
    assert page.locator("#lines tbody tr:not(.actor)").count() == 1


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


def test_the_quieter_pages_stand_at_both_widths(desk, book, open_page, look):
    """Pages that nobody passes on the way from counter to certificate, and that stand all the same."""
    workshop()
    job, tested = book["hilda"], JobFactory(stage="scheduling")
    version = sent_estimate(job, desk).version
    message = outbox.send_now(outbox.post(job=job, to=job.owner.email, subject="A word", body="To read.", kind="link"))
    paper = job.vehicle.documents.create(
        kind="paper", caption="Receipt of the springs", content_type="application/pdf", sha256="0" * 64,
        original_name="receipt.pdf",
    )  # fmt: skip
    engineer = UserFactory(username="engineer", first_name="Edna", last_name="Wattle", roles=["engineer"])
    admin = UserFactory(username="admin", first_name="Alma", last_name="Quoll", roles=["admin"])
    closed = JobFactory()
    endings.close(job=closed, by=desk, reason="not_brought", words="Rang three times.")
    looks = {
        desk: {
            "payment": f"/jobs/{job.number}/estimate/payment/",
            "cost": f"/jobs/{job.number}/estimate/cost/",
            "heard": f"/jobs/{job.number}/estimate/{version}/heard/",
            "message": f"/jobs/{job.number}/messages/{message.pk}/",
            "came-back": f"/jobs/{job.number}/messages/{message.pk}/came-back/",
            "coming-in": f"/jobs/{job.number}/coming-in/",
            "set-aside": f"/jobs/{job.number}/documents/{paper.pk}/set-aside/",
            "close": f"/jobs/{job.number}/close/",
            "closed": f"/jobs/{closed.number}/",
            "closed-book": "/jobs/?closed=1",
        },
        engineer: {
            "send-back": f"/jobs/{tested.number}/send-back/triage/",
            "audit-trail": f"/jobs/{closed.number}/audit-trail/",
            "open-again": f"/jobs/{closed.number}/open-again/",
            "overview": "/overview/",
            "must-change": f"/jobs/{tested.number}/must-change/",
        },
        admin: {
            "price-book": f"/workshop/prices/{PriceBookEdition.objects.first().pk}/",
            "workshop": "/workshop/",
        },
        None: {
            "owner-mail": address(job, "e-mail/"),
            "owner-closed": address(closed),
        },
    }
    for person, pages in looks.items():
        page = open_page(person)
        for name, path in pages.items():
            response = page.goto(path)
            assert response.status == 200, path
            look(page, f"quiet-{name}")


def test_what_somebody_saved_meanwhile_is_shown_beside_what_was_typed(desk, book, open_page, look):
    """Two at one vehicle: the masses corrected meanwhile stay, and where both wrote, both values are shown."""
    job = book["hilda"]
    page = open_page(desk)
    page.goto(f"/jobs/{job.number}/vehicle/")
    Vehicle.objects.filter(pk=job.vehicle_id).update(front_axle_kg=1190, empty_mass_kg=2205, gvm_kg=3000)
    page.get_by_label("Plate", exact=True).fill("KOALA")
    page.get_by_label("GVM").first.fill("3100")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Somebody saved “3000” here since you opened this page").first.wait_for()
    look(page, "desk-meanwhile")
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/modifications/")
    job.vehicle.refresh_from_db()
    assert (job.vehicle.plate, job.vehicle.gvm_kg, job.vehicle.front_axle_kg) == ("KOALA", 3100, 1190)
