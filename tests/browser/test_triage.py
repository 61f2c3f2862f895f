"""An engineer triages ten varied vehicles; an administrator drafts the next edition of the rules."""

import pytest
from playwright.sync_api import expect

from testing.models import RuleSetEdition
from testing.triage import decision
from testing.triage.editions import today_in
from tests.factories import JobFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def lift(front_mm, rear_mm=None):
    return ("suspension_lift", {"front_mm": front_mm, "rear_mm": front_mm if rear_mm is None else rear_mm})


def tyres(size):
    return ("tyre_change", {"to": size})


# What each vehicle is, where, what was done to it, and what the triage has to come to once decided.
VEHICLES = {
    "Lifted wagon": ("NSW", {}, [lift(50.0), tyres("285/70R17")], {"LT2": "required"}),
    "Beyond certifying": ("QLD", {}, [lift(75.0), ("body_lift", {"lift_mm": 60.0})], {"REDUCTION": "required"}),
    "Heavy ute": (
        "VIC", {"adr_category": "NA", "gvm_kg": 3200.0}, [("gvm_upgrade", {"to_kg": 3700.0})],
        {"LT2": "not_applicable", "DRIVING_REPORT": "required", "CATEGORY": "required"},
    ),
    "Van without seats": (
        "WA", {"adr_category": "MB", "gvm_kg": 3050.0, "seats": 8}, [("seating_change", {"seats": 2.0})],
        {"CATEGORY": "required", "LT2": "not_required"},
    ),
    "Engine swap": ("SA", {"adr_category": "MA"}, [("engine_change", {}), ("brake_change", {})], {"LT3": "required"}),
    "Straddling tyres": ("NSW", {}, [lift(47.5), tyres("285/70R17")], {"LT2": "required"}),
    "Lowered and wide": (
        "NT", {"adr_category": "MA"},
        [("suspension_lowering", {"front_mm": 30.0, "rear_mm": 20.0}),
         ("track_change", {"front_mm": 40.0, "rear_mm": 40.0})],
        {"RIDE_HEIGHT": "required"},
    ),
    "Stretched": ("ACT", {}, [("wheelbase_change", {"change_mm": 600.0})], {"LT1": "required"}),
    "Loaded roof": ("TAS", {}, [("roof_load", {"mass_kg": 75.0, "height_mm": 1950.0})], {"LT2": "required"}),
    "Changed steering": ("NSW", {}, [("steering_change", {}), lift(20.0, 40.0)], {"LS": "required"}),
}  # fmt: skip


def press(page, name):
    page.get_by_role("button", name=name).click()
    page.wait_for_load_state()


def test_ten_vehicles_are_decided_and_signed(open_page, look, engineer):
    page = open_page(engineer)
    for model, (place, facts, modifications, expected) in VEHICLES.items():
        changes = {f"vehicle__{name}": value for name, value in facts.items()}
        job = JobFactory(
            stage="triage", jurisdiction=place, modifications=modifications, vehicle__model=model, **changes
        )
        page.goto(f"/jobs/{job.number}/triage/")
        if model == "Beyond certifying":
            expect(page.get_by_text("Cannot be certified as it is")).to_be_visible()
            look(page, "triage-beyond")
        page.get_by_role("link", name="Decide the open lines").click()
        page.get_by_label("Reason for all").fill("Seen on the vehicle; the papers agree.")
        for box in page.locator("select").all():
            box.select_option("required")
        if model == "Stretched":
            look(page, "triage-open-lines")
        press(page, "Keep these decisions")
        press(page, "Sign this triage")
        needs = {line["code"]: line["need"] for line in decision.signed(job).results["requirements"]}
        assert {code: needs[code] for code in expected} == expected, model
    page.goto(f"/jobs/{job.number}/triage/")
    page.get_by_role("link", name="The triage record, to print").click()
    look(page, "triage-record")


def test_a_missing_fact_is_one_click_away(open_page, engineer):
    job = JobFactory(stage="triage", vehicle__gvm_kg=None)
    page = open_page(engineer)
    page.goto(f"/jobs/{job.number}/triage/")
    page.get_by_role("link", name="GVM: read it from the compliance plate").click()
    assert page.url.endswith("#id_gvm_kg")
    page.locator("#id_gvm_kg").fill("2.95 t")
    press(page, "Save and go on to modifications")
    page.goto(f"/jobs/{job.number}/triage/")
    assert page.get_by_text("not known").count() == 0


def test_what_is_typed_on_the_page_of_open_lines_outlives_the_window(open_page, engineer):
    job = JobFactory(stage="triage", modifications=[("steering_change", {})])
    page = open_page(engineer)
    page.goto(f"/jobs/{job.number}/triage/decide/")
    page.locator("#id_reason-lt2").press_sequentially("Rack of another model")
    page.wait_for_timeout(1500)
    page.reload()
    assert page.locator("#id_reason-lt2").input_value() == "Rack of another model"


def test_the_next_edition_is_drafted_tried_and_published(open_page, look, admin_user, job):
    page = open_page(admin_user)
    page.goto("/rules/")
    look(page, "rules")
    page.goto("/rules/editions/NSW-2016-11/")
    look(page, "rules-edition")
    press(page, "Copy as a draft")
    page.get_by_role("link", name="Lane-change test due: overall rise").click()
    page.get_by_label("Value").fill("100")
    press(page, "Save in the draft")
    look(page, "rules-draft")
    page.get_by_role("link", name="Which open jobs would change?").click()
    expect(page.get_by_text("Overall rise 77.3 mm is not more than 100 mm")).to_be_visible()
    look(page, "rules-effect")
    page.get_by_role("link", name="Back to the draft").click()
    page.get_by_role("link", name="Publish").click()
    page.get_by_label("In force from").fill(today_in("NSW").isoformat())
    press(page, "Publish")
    assert RuleSetEdition.objects.filter(jurisdiction="NSW").count() == 2
    assert decision.triage_of(job).lane_change.need == "not_required"
