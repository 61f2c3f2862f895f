"""The facts of the vehicle: units as typed, ranges named, contradictions found."""

import pytest

from jobs.models import AuditEntry
from vehicles.calculations import ranges

pytestmark = pytest.mark.django_db


def facts(job, **changes):
    vehicle = job.vehicle
    names = ["make", "model", "built_year", "vin", "plate", "plate_state", "adr_category", "fuel", "tyre"]
    data = {name: getattr(vehicle, name) for name in (*names, *ranges.VEHICLE, *ranges.PLACES)}
    data = {name: "" if value is None else value for name, value in data.items()}
    return {**data, "fuel_level": "40", "esc": "true"} | changes


def send(as_, desk, job, **changes):
    response = as_(desk).post(f"/jobs/{job.number}/vehicle/", facts(job, **changes))
    job.vehicle.refresh_from_db()
    return response


def test_units_are_taken_as_typed(as_, desk, job):
    response = send(as_, desk, job, gvm_kg="6504 lb", overall_width_mm="74.2 in", wheelbase_mm="2.79 m")
    assert response.status_code == 302
    # 1 lb = 0.45359237 kg and 1 in = 25.4 mm, both by definition (international yard and pound agreement, 1959)
    assert job.vehicle.gvm_kg == pytest.approx(6504 * 0.45359237)
    assert job.vehicle.overall_width_mm == pytest.approx(74.2 * 25.4)
    assert job.vehicle.wheelbase_mm == pytest.approx(2790)


def test_fuel_level_is_typed_in_per_cent(as_, desk, job):
    send(as_, desk, job, fuel_level="55 %")
    assert job.vehicle.fuel_level == pytest.approx(0.55)


def test_unknown_facts_may_stay_empty(as_, desk, job):
    assert send(as_, desk, job, gvm_kg="", cg_height_mm="").status_code == 302
    assert job.vehicle.gvm_kg is None


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("gvm_kg", "12", "300 to 12,000 kg"),
        ("gvm_kg", "nan", "300 to 12,000 kg"),
        ("gvm_kg", "1e400", "300 to 12,000 kg"),
        ("gvm_kg", "2950 furlong", "300 to 12,000 kg"),
        ("overall_width_mm", "99999", "1,000 to 2,600 mm"),
        ("seats", "4.5", "whole numbers"),
        ("seats", "five", "plain numbers"),
        ("fuel_level", "140", "0 to 100 %"),
        ("market_value_aud", "-5", "0 to 5,000,000 AUD"),
        ("tyre", "a big one", "cannot be read as a tyre size"),
        ("vin", "IOQIOQIOQIOQIOQIO", "no I, O or Q"),
        ("adr_category", "ZZ", "not one of the available choices"),
        ("built_year", "19999999999", "less than or equal"),
        ("make", "m\x00", "Null characters"),
    ],
)
def test_a_value_that_cannot_be_is_refused_with_what_is_allowed(as_, desk, job, name, value, words):
    response = send(as_, desk, job, **{name: value})
    assert response.status_code == 200
    assert words in response.content.decode()


def test_axle_masses_that_contradict_the_whole_are_refused(as_, desk, job):
    response = send(as_, desk, job, front_axle_kg="1000")
    assert response.status_code == 200
    assert "1 %" in response.content.decode()


def test_a_vin_with_a_wrong_check_digit_is_stored_with_a_warning(as_, desk, job):
    # Source: 49 CFR 565.15; the valid sample is 1M8GDM9AXKP042788, its check digit is the ninth character.
    response = as_(desk).post(f"/jobs/{job.number}/vehicle/", facts(job, vin="1M8GDM9A1KP042788"), follow=True)
    job.vehicle.refresh_from_db()
    assert job.vehicle.vin == "1M8GDM9A1KP042788"
    assert "check digit" in response.content.decode()


def test_the_trail_keeps_what_a_fact_was_before(as_, desk, job):
    send(as_, desk, job, gvm_kg="3000")
    entry = AuditEntry.objects.get(job=job, what="Vehicle facts saved")
    assert entry.details["changed"]["gvm_kg"] == [2950.0, 3000.0]
