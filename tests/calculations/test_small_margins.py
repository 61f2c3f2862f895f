"""A lower first speed when a measured vehicle has small margins."""

from dataclasses import replace

import pytest

from tests.calculations.cases import lift
from tests.calculations.measured_cases import worked
from vehicles.calculations.outlook import small_margins
from vehicles.calculations.sheet import sheet

BRAKES = {"kind": "brake_change"}
# A high and narrow vehicle: measured, it would roll before it slides.
TALL = {"cg_height_mm": 1150, "overall_height_mm": 2600, "track_front_mm": 1400, "track_rear_mm": 1400}


def test_a_vehicle_that_would_roll_before_it_slides_starts_at_60():
    done = worked(BRAKES, with_demand=True, **TALL)
    assert done.stability[0].threshold_low_g < 0.65
    assert (done.speeds.first_max_kmh, done.speeds.ladder_kmh) == (60, (60, 70, 80, 90, 100, 110))
    caution = next(text for text in done.cautions if text.startswith("Small margins"))
    assert "at or below 60 km/h" in caution and "(roll threshold)" in caution
    opened = next(item for item in done.working if item.quantity == "First attempt at most")
    assert opened.value == 60 and "roll threshold" in opened.inputs["margins"]
    assert done.outlook.first_kmh == 60
    assert "Small margins" in sheet(done)


def test_an_ordinary_vehicle_with_its_height_measured_starts_at_80():
    done = worked(BRAKES, with_demand=True, cg_height_mm=760)
    assert done.speeds.ladder_kmh == (80, 90, 100, 110)
    assert not any(text.startswith("Small margins") for text in done.cautions)


def test_an_estimate_decides_nothing():
    tall = {name: value for name, value in TALL.items() if name != "cg_height_mm"}
    done = worked(BRAKES, with_demand=True, **tall)
    assert done.stability[0].ssf is None
    assert done.speeds.first_max_kmh == 80


def test_a_high_lift_and_small_margins_are_both_told():
    done = worked(lift(120), with_demand=True, **TALL)
    assert done.speeds.first_max_kmh == 60
    assert any(text.startswith("High lift") for text in done.cautions)
    assert any(text.startswith("Small margins") for text in done.cautions)


def test_without_the_demand_there_is_no_outlook_and_no_lower_speed():
    done = worked(BRAKES, **TALL)
    assert (done.outlook, done.speeds.first_max_kmh) == (None, 80)


def test_no_room_at_the_first_speed_is_a_small_margin_whatever_limits():
    seen = worked(BRAKES, with_demand=True, cg_height_mm=760).outlook
    rows = tuple(replace(row, state="careful") if row.speed_kmh == 80 else row for row in seen.rows)
    assert small_margins(replace(seen, rows=rows), first_max_kmh=80) == next(
        row.reason for row in seen.rows if row.speed_kmh == 80
    )
    assert small_margins(seen, first_max_kmh=80) is None
    estimated = tuple(replace(row, measured=False) for row in rows)
    assert small_margins(replace(seen, rows=estimated), first_max_kmh=80) is None


@pytest.mark.parametrize(("mass", "count"), [("tm1", 6), ("tm2", 6)])
def test_the_outlook_is_plain_data_at_each_mass(mass, count):
    data = worked(BRAKES, with_demand=True, cg_height_mm=760).as_dict()
    rows = [row for row in data["outlook"]["rows"] if row["mass"] == mass]
    assert len(rows) == count and all(row["limit_g"] > 0 for row in rows)
    opened = [item["quantity"] for item in data["working"] if item["quantity"].startswith("Outlook")]
    assert opened == ["Outlook at Test Mass 1: limit", "Outlook at Test Mass 2: limit"]
