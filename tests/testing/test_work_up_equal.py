"""The work-up on the web and `manage.py workup` are the same, number for number."""

import io
import json

import pytest
from django.core.management import call_command

from testing.workup import inputs_of, work_up_of
from tests.factories import JobFactory
from tests.testday_factories import book

pytestmark = pytest.mark.django_db

PLACES = {
    "driver_x_mm": 1340.0,
    "fuel_x_mm": 2380.0,
    "instruments_x_mm": 1500.0,
    "luggage_x_mm": 3150.0,
    "row_1_x_mm": 1340.0,
    "row_1_seats": 2,
    "row_2_x_mm": 2230.0,
    "row_2_seats": 3,
}
CORNERS = {
    "corner_front_left_kg": 571.0,
    "corner_front_right_kg": 579.0,
    "corner_rear_left_kg": 512.0,
    "corner_rear_right_kg": 503.0,
}
LIFT = {
    "lift_raised_axle": "front",
    "lift_static_radius_mm": 400.0,
    "lift_1_raised_mm": 300.0,
    "lift_1_held_axle_kg": 1044.0,
    "lift_2_raised_mm": 450.0,
    "lift_2_held_axle_kg": 1060.0,
    "lift_3_raised_mm": 600.0,
    "lift_3_held_axle_kg": 1076.0,
}


def by_command(job, tmp_path):
    """The work-up of the job's case, written to a file and computed without the database."""
    path = tmp_path / "case.json"
    path.write_text(json.dumps(inputs_of(job)), encoding="utf-8")
    out = io.StringIO()
    call_command("workup", str(path), "--format", "json", stdout=out)
    return json.loads(out.getvalue())


def by_web(job):
    return json.loads(json.dumps(work_up_of(job)))


@pytest.mark.parametrize("measured", [{}, PLACES, PLACES | CORNERS | LIFT], ids=["bare", "places", "all"])
def test_the_same_case_gives_the_same_work_up(measured, site, driver, engineer, tmp_path):
    job = JobFactory(**{f"vehicle__{name}": value for name, value in measured.items()})
    book(job, site=site, driver=driver, engineer=engineer)
    web = by_web(job)
    assert web == by_command(job, tmp_path)
    assert web["ballast"]["tm2"]["state"] == ("planned" if measured else "undecided")
    assert (web["centre_of_gravity"]["measured_by"] == "axle_lift") is ("lift_raised_axle" in measured)


def test_instruments_that_ride_along_and_equipment_that_was_missing_are_counted(site, driver, engineer, tmp_path):
    job = JobFactory(vehicle__missing_equipment_kg=23.5)
    booking = book(job, site=site, driver=driver, engineer=engineer)
    bare = by_web(job)["masses"]
    assert (bare["instruments_kg"], bare["missing_equipment_kg"]) == (0, 23.5)
    for serial, mass_kg in (("1", 8.0), ("2", 4.0), ("3", None)):
        booking.instruments.create(kind="data_logger", name="Logger", serial=serial, mass_kg=mass_kg)
    web = by_web(job)
    assert web == by_command(job, tmp_path)
    assert web["masses"]["instruments_kg"] == 12
    assert web["masses"]["tm1_kg"] == pytest.approx(bare["tm1_kg"] + 12)


@pytest.mark.parametrize("jurisdiction", ["VIC", "QLD", "WA"])
def test_whatever_the_jurisdiction(jurisdiction, tmp_path):
    job = JobFactory(jurisdiction=jurisdiction)
    assert by_web(job) == by_command(job, tmp_path)


def test_with_a_goods_vehicle_and_gaps(tmp_path):
    job = JobFactory(vehicle__adr_category="NA", vehicle__overall_height_mm=None, vehicle__gvm_kg=3100.0)
    assert by_web(job) == by_command(job, tmp_path)
