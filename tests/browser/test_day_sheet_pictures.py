"""The day sheet's further pages, seen at both widths: the cones to tap, a log's plots, what is to be settled."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from playwright.sync_api import expect

from testing.testday import logs
from testing.testday.passes import course_of
from tests.browser.test_day_sheet_offline import crew, phone, ready  # noqa: F401  fixtures
from tests.testday_factories import drive
from tests.testday_logs import as_csv, driven
from tests.testing.test_day_sheet_logs import taken

# Wider than the vehicle: a driver leaves room to the cones.
SHAPE = {"width_m": 2.1, "length_m": 4.92}
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_further_pages_of_the_day(open_page, ready, look):  # noqa: F811
    day, engineer = ready["day"], ready["engineer"]
    page = phone(open_page, ready["driver"], day)
    page.get_by_label("Test Mass 1", exact=True).check()
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Speed aimed at*").select_option("80")
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Wind now").fill("1.4")
    page.get_by_label("dry", exact=True).check()
    page.get_by_role("button", name="Next").click()
    look(page, "run-result")
    page.get_by_label("cones moved", exact=True).check()
    page.get_by_role("button", name="Next").click()
    page.locator("[data-cone='3']").click()
    look(page, "run-cones")

    for speed in (80, 90):
        drive(day, by=engineer, aimed=speed, measured_kmh=speed)
    data = SimpleUploadedFile("morning.csv", as_csv(driven([80, 87], course=course_of(day), vehicle=SHAPE)))
    log = taken(day, logs.recognise(data), engineer)
    desk = open_page(engineer)
    first, second = log.passes.all()
    desk.goto(f"/day-sheets/{day.pk}/logs/passes/{first.pk}/?beside={second.pk}")
    look(desk, "logged-pass")
    desk.goto(f"/day-sheets/{day.pk}/")
    expect(desk.get_by_text("87.0 km/h at entry by the log, 90.0 km/h written").first).to_be_visible()
    look(desk, "day-sheet-to-settle")
    for address, name in (
        ("logs/", "log"),
        ("stop/", "stop"),
        ("roll-limit/", "roll-limit"),
        ("runs/1/correct/", "correct"),
    ):
        desk.goto(f"/day-sheets/{day.pk}/{address}")
        look(desk, name)
    job = day.booking.job
    for address, name in (("measured/noise/", "noise"), ("measured/brake/", "brake"), ("retest/", "retest")):
        desk.goto(f"/jobs/{job.number}/{address}")
        look(desk, name)
