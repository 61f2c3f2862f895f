"""The planner in Chromium: a morning for three jobs, booked; the forecast turns; it is moved; the owner sees it."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from testing.models import BallastStock, Booking, CalendarFeed
from testing.scheduling import climate, services
from testing.scheduling.records import Reading
from tests.factories import CrewMemberFactory, OwnerFactory, UserFactory, VehicleFactory
from tests.scheduling_factories import HOUR, at, calibrated, in_days, keep_weather, level_site, ready_job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = 390


@pytest.fixture
def planner(transactional_db):
    return UserFactory(username="engineer", first_name="Edmund", last_name="Karri", roles=["engineer"])


@pytest.fixture
def strip(planner):
    """A strip with calm, dry days from tomorrow on, and a month of the past."""
    site = level_site(
        name="Saltbush airstrip", latitude_deg=-33.28, longitude_deg=149.1, before_m=200, after_m=150, hire_aud=480,
        email="strip@example.com",
    )  # fmt: skip
    for number in range(7):
        keep_weather(site, in_days(number), by=planner, h15={"wind_mps": 4.6}, h16={"wind_mps": 5.1})
    start = at(site, in_days(-40), "00:00")
    past = [
        Reading(starts_at=start + number * HOUR, wind_mps=number % 24 / 5, gust_mps=None, rain_mm=0.0)
        for number in range(24 * 39)
    ]
    climate.store_past(site=site, readings=past)
    return site


@pytest.fixture
def jobs(strip):
    """Three vehicles, two of them equally wide, and everything else that a day takes."""
    CrewMemberFactory(name="Dana Mallee", email="dana@example.com")
    calibrated("gps_speed", name="Speed box")
    calibrated("anemometer", name="Cup anemometer", valid_to=in_days(20))
    BallastStock.objects.create(name="Sand bags", piece_kg=20.1, pieces=40)
    owners = [OwnerFactory(name=name) for name in ("Olive Saltbush", "Viktor Quandong", "Harriet Boronia")]
    return [
        ready_job(owner=owner, vehicle=VehicleFactory(overall_width_mm=width))
        for owner, width in zip(owners, (1885, 1760, 1885), strict=True)
    ]


def press(page, name):
    page.get_by_role("main").get_by_role("button", name=name).first.click()
    page.wait_for_load_state()


def follow(page, name):
    page.get_by_role("main").get_by_role("link", name=name).first.click()
    page.wait_for_load_state()


def find_and_book(page, jobs, look):
    page.goto("/planner/")
    for job in jobs:
        page.get_by_label(f"Look for a morning for {job.number}").check()
    press(page, "Find a morning for the ticked")
    expect(page.get_by_text("9 moved, 9 fewer than in the order asked for")).to_be_visible()
    page.get_by_text("Order of the day").first.click()
    look(page, "planner-find")
    page.get_by_label("Ask the owner about this one").first.check()
    press(page, "Ask about the ticked mornings")
    assert page.get_by_text("is asked about 1 morning;").count() == len(jobs)
    press(page, "Book this morning")
    assert all(page.get_by_text(f"Booked for {job.number}").is_visible() for job in jobs)
    made = list(Booking.objects.order_by("starts_at"))
    assert [booking.job.vehicle.overall_width_mm for booking in made] in ([1885, 1885, 1760], [1760, 1885, 1885])
    return made


def the_forecast_turns(page, site, day, look):
    page.goto(f"/planner/sites/{site.pk}/forecast/enter/?day={day}")
    page.get_by_label("Hours*").fill("\n".join(f"{hour:02}:00 5.4 8.0 0" for hour in range(24)))
    page.get_by_label("Where it comes from*").fill("Evening issue")
    press(page, "Keep these hours")
    expect(page.get_by_text("No hour works").first).to_be_visible()
    look(page, "planner-forecast")


def move_all(page, jobs, look):
    page.goto("/planner/")
    assert page.get_by_text("at risk").count() == len(jobs)
    look(page, "planner")
    wanted = "&".join(f"jobs={job.number}" for job in jobs)
    page.goto(f"/planner/find/?{wanted}")
    page.get_by_label("Given up for").first.select_option("weather")
    page.get_by_label("Why the booked day is given up").first.fill("Wind over the limit all morning")
    press(page, "Move to this morning")
    page.goto("/planner/")
    assert page.get_by_text("at risk").count() == 0


def decide(page, job, look):
    page.goto(reverse("testing:go", args=[job.number]))
    for item in ("Tyre pressures", "Brakes, with the handbrake", "Fuel at 90 %"):
        page.get_by_label("Item").select_option(label=item)
        page.get_by_label("Evidence").fill("Looked at in the yard")
        press(page, "Write it down")
    look(page, "go-or-no-go")
    follow(page, "Decide go or no-go")
    page.get_by_label("Decision*").select_option("go")
    press(page, "Record the decision")
    expect(page.get_by_role("alert").get_by_text("Say why it goes ahead all the same").first).to_be_visible()
    page.get_by_label("Reason").fill("The owner fills in the rest of the sheet on arrival.")
    press(page, "Record the decision")
    expect(page.get_by_text("Go recorded")).to_be_visible()


def test_a_morning_for_three_jobs_that_has_to_move(planner, strip, jobs, open_page, look):
    page = open_page(planner)
    made = find_and_book(page, jobs, look)
    owner = open_page(width=PHONE)
    owner.goto(f"/owner/{jobs[0].owner_token}/")
    before = services.standing_booking(jobs[0]).when
    expect(owner.get_by_text(before).first).to_be_visible()

    the_forecast_turns(page, strip, made[0].day, look)
    move_all(page, jobs, look)
    after = services.standing_booking(jobs[0])
    assert after.day != made[0].day
    owner.reload()
    expect(owner.get_by_text(after.when).first).to_be_visible()
    assert owner.get_by_text(before).count() == 0
    decide(page, jobs[0], look)


def test_resources_and_the_past_read_well_on_both_screens(planner, strip, jobs, open_page, look):
    CalendarFeed.objects.create(user=planner)
    page = open_page(planner)
    gps = jobs and calibrated("tilt_meter", name="Tilt meter")
    for name, path in {
        "planner-site": f"/planner/sites/{strip.pk}/",
        "planner-days": f"/planner/sites/{strip.pk}/days/",
        "planner-past": f"/planner/sites/{strip.pk}/past/",
        "planner-upload": f"/planner/sites/{strip.pk}/forecast/upload/",
        "planner-instrument": f"/planner/instruments/{gps.pk}/",
        "planner-ballast": "/planner/ballast/add/",
        "planner-schedule": f"/jobs/{jobs[0].number}/schedule/",
        "planner-cover": f"/jobs/{jobs[0].number}/cover/",
    }.items():
        page.goto(path)
        look(page, name)
    page.goto(f"/planner/sites/{strip.pk}/forecast/upload/")
    file = {"name": "station.csv", "mimeType": "text/csv", "buffer": b"Stamp,Speed\n03/12/2026 06:00,2\n"}
    page.get_by_label("CSV file*").set_input_files(file)
    press(page, "Upload")
    look(page, "planner-columns")
