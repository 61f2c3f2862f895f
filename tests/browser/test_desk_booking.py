"""Booking in with the keyboard alone, and what happens to what was typed when something gives way."""

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import expect

from jobs.models import Job, OutboxMessage
from tests.browser.keys import Keys
from tests.factories import PASSWORD, JobFactory, OwnerFactory, UserFactory
from tests.owner_side import workshop

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TWO_MINUTES_S = 120


@pytest.fixture
def desk(transactional_db):
    return UserFactory(username="desk", first_name="Dorothy", last_name="Finch", roles=["desk"])


@pytest.fixture
def counter(desk, open_page):
    workshop(home_jurisdiction="NSW")
    page = open_page(desk)
    page.goto("/jobs/book-in/")
    return page


def plain_lift_and_tyres(page):
    """From the empty form to the receipt, without touching the mouse."""
    keys = Keys(page)
    keys.at("Owner's name")
    keys.type("Olive Saltbush")
    for text in ("0491570156", "olive@example.com", "slt42b", "6T1BANKS1A0000815", "Banksia", "Tourer"):
        keys.press("Tab")
        keys.type(text)
    keys.enter()
    page.wait_for_url("**/modifications/")
    keys.at("Suspension lift")
    keys.enter()
    keys.at("Front")
    keys.type("50")
    keys.press("Tab")
    keys.type("2 in")
    keys.enter()
    page.get_by_text("Suspension lift: front 50 mm, rear 50.8 mm added.").wait_for()
    keys.at("Suspension lift")
    keys.press("ArrowDown", "ArrowDown")
    keys.at("Change of tyres")
    keys.enter()
    keys.at("Tyre size now fitted")
    keys.type("285/70R17")
    keys.enter()
    page.get_by_text("Change of tyres: tyre size now fitted 285/70R17 added.").wait_for()
    keys.at("Suspension lift")
    keys.press("Tab", "Tab")
    keys.at("Receipt")
    keys.enter()
    page.get_by_role("heading", name="Receipt of booking in").wait_for()
    return keys


def test_a_plain_lift_and_tyres_job_is_booked_in_under_two_minutes_by_keys_alone(counter, look):
    look(counter, "book-in-empty")
    counter.get_by_label("Owner's name").focus()
    keys = plain_lift_and_tyres(counter)
    assert keys.seconds < TWO_MINUTES_S, f"{keys.pressed} keys, {keys.thoughts} thoughts: {keys.seconds:.0f} s"
    # Typing what has to be typed takes most of it: what the page asks on top stays small.
    typed = sum(len(text) for text in keys.log if text not in ("Tab", "Enter", "ArrowDown"))
    assert keys.pressed - typed <= 20
    job = Job.objects.get()
    assert job.vehicle.vin == "6T1BANKS1A0000815"
    assert [mod.values for mod in job.vehicle.modifications.all()] == [
        {"front_mm": 50.0, "rear_mm": 50.8},
        {"to": "285/70R17"},
    ]
    look(counter, "receipt")
    counter.get_by_role("button", name="E-mail to olive@example.com").click()
    counter.get_by_text("The receipt is queued for olive@example.com.").wait_for()
    assert OutboxMessage.objects.get().to == "olive@example.com"


def test_a_returning_owner_and_vehicle_are_taken_while_typing(counter, look):
    before = JobFactory(
        stage="done", owner=OwnerFactory(name="Hilda Heath", phone="0491 570 110"), vehicle__plate="WOMBAT"
    )
    counter.goto("/jobs/")
    counter.goto("/jobs/book-in/")
    keys = Keys(counter)
    keys.type("hild")
    counter.get_by_role("link", name="This owner and vehicle").wait_for()
    look(counter, "book-in-here-before")
    counter.get_by_label("Owner's name").focus()
    keys.press("ArrowDown")
    keys.at("This owner and vehicle")
    keys.enter()
    assert counter.get_by_label("Owner's name").input_value() == "Hilda Heath"
    assert counter.get_by_label("Plate").input_value() == "WOMBAT"
    counter.get_by_label("Owner's name").focus()
    keys.enter()
    counter.wait_for_url("**/modifications/")
    job = Job.objects.exclude(pk=before.pk).get()
    assert job.owner == before.owner
    assert job.vehicle.gvm_kg == before.vehicle.gvm_kg
    assert keys.pressed <= 8


def test_an_open_job_for_the_plate_is_seen_before_anything_is_sent(counter):
    opened = JobFactory(vehicle__plate="SLT42B")
    counter.get_by_label("Plate").press_sequentially("slt-42b")
    counter.locator("#found").get_by_text("Open already").wait_for()
    assert counter.locator("#found").get_by_role("link", name=opened.number).is_visible()


def test_on_a_phone_what_is_found_does_not_lie_over_the_field_that_is_typed_in(counter):
    JobFactory(stage="done", vehicle__plate="SLT42B")
    counter.goto("/jobs/")
    counter.goto("/jobs/book-in/")
    counter.set_viewport_size({"width": 390, "height": 900})
    counter.get_by_label("Plate").fill("slt-42b")
    counter.get_by_role("link", name="This owner and vehicle").wait_for()
    counter.wait_for_function(
        """() => {
            const found = document.querySelector("#found").getBoundingClientRect();
            return found.height > 200 && document.activeElement.getBoundingClientRect().bottom <= found.top;
        }""",
        timeout=10_000,
    )


def test_what_was_typed_while_the_connection_was_lost_is_sent_when_it_is_back(counter):
    counter.context.set_offline(True)
    counter.get_by_label("Owner's name").press_sequentially("Olive Saltbush")
    counter.get_by_label("Phone").press_sequentially("0491570156")
    counter.get_by_label("Make").press_sequentially("Banksia")
    counter.get_by_label("Model").fill("Tourer")
    counter.get_by_role("button", name="Open the job").click()
    counter.get_by_text("No connection. What you typed is kept on this device").wait_for()
    counter.context.set_offline(False)
    counter.wait_for_function("() => Object.keys(localStorage).every((key) => !key.startsWith('kept:'))")
    counter.get_by_role("button", name="Open the job").click()
    counter.wait_for_url("**/modifications/")
    assert Job.objects.get().owner.name == "Olive Saltbush"


def test_what_was_typed_without_connection_survives_the_closed_tab(counter):
    counter.context.set_offline(True)
    counter.get_by_label("Owner's name").press_sequentially("Olive Saltbush")
    counter.get_by_label("Registered in").select_option("VIC")
    context = counter.context
    counter.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto("/jobs/book-in/")
    assert again.get_by_label("Owner's name").input_value() == "Olive Saltbush"
    assert again.get_by_label("Registered in").input_value() == "VIC"
    assert again.get_by_text("Typed on this device on").is_visible()


def test_what_was_typed_survives_a_session_that_ran_out(counter, desk):
    Session.objects.all().delete()
    for label, text in {"Owner's name": "Olive Saltbush", "Phone": "0491570156", "Model": "Tourer"}.items():
        counter.get_by_label(label).press_sequentially(text)
    counter.get_by_label("Make").fill("Banksia")
    counter.get_by_text("You are signed out.").wait_for()
    counter.get_by_role("button", name="Open the job").click()
    counter.wait_for_url("**/sign-in/**")
    counter.get_by_label("Username").fill(desk.username)
    counter.get_by_label("Password").fill(PASSWORD)
    counter.get_by_role("button", name="Sign in").click()
    counter.wait_for_url("**/jobs/book-in/")
    for label, text in {"Owner's name": "Olive Saltbush", "Phone": "0491570156", "Make": "Banksia"}.items():
        assert counter.get_by_label(label).input_value() == text
    counter.get_by_role("button", name="Open the job").click()
    counter.wait_for_url("**/modifications/")
    assert Job.objects.get().vehicle.model == "Tourer"
    counter.goto("/jobs/book-in/")
    assert counter.get_by_label("Owner's name").input_value() == ""


def test_what_was_typed_survives_a_page_that_had_grown_old(counter):
    counter.context.clear_cookies(name="csrftoken")
    for label, text in {"Owner's name": "Olive Saltbush", "Phone": "0491570156", "Make": "Banksia"}.items():
        counter.get_by_label(label).fill(text)
    counter.get_by_label("Model").press_sequentially("Tourer")
    counter.get_by_role("button", name="Open the job").click()
    counter.get_by_role("heading", name="Not sent yet: this page had grown old").wait_for()
    counter.get_by_role("link", name="Back to what you typed").click()
    expect(counter.get_by_label("Model")).to_have_value("Tourer")
    counter.get_by_role("button", name="Open the job").click()
    counter.wait_for_url("**/modifications/")
    assert Job.objects.get().owner.name == "Olive Saltbush"


def test_a_session_that_ran_out_between_two_modifications_loses_nothing(counter, desk):
    job = JobFactory(modifications=[])
    counter.goto(f"/jobs/{job.number}/modifications/")
    counter.get_by_role("link", name="Body lift", exact=True).click()
    counter.get_by_label("Lift").wait_for()
    Session.objects.all().delete()
    counter.get_by_label("Lift").press_sequentially("2 in")
    counter.get_by_role("button", name="Add this modification").click()
    counter.wait_for_url("**/sign-in/**")
    counter.get_by_label("Username").fill(desk.username)
    counter.get_by_label("Password").fill(PASSWORD)
    counter.get_by_role("button", name="Sign in").click()
    counter.wait_for_url("**/modifications/")
    counter.get_by_role("link", name="Body lift", exact=True).click()
    counter.get_by_label("Lift").wait_for()
    expect(counter.get_by_label("Lift")).to_have_value("2 in")
    counter.get_by_role("button", name="Add this modification").click()
    counter.get_by_text("Body lift: body lift 50.8 mm added.").wait_for()
    counter.get_by_role("link", name="Body lift", exact=True).click()
    expect(counter.get_by_label("Lift")).to_have_value("")


def test_who_signs_out_leaves_nothing_on_a_shared_machine(counter):
    counter.context.set_offline(True)
    counter.get_by_label("Owner's name").press_sequentially("Olive Saltbush")
    counter.context.set_offline(False)
    counter.get_by_role("button", name="Sign out").click()
    counter.wait_for_url("**/sign-in/")
    assert counter.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('kept:'))") == []
