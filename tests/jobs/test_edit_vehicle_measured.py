"""The readings of an axle lift, corner weights and rows of seats on the vehicle's form."""

import pytest

from jobs.models import AuditEntry
from tests.jobs.test_edit_vehicle import facts
from vehicles.case import case_data

pytestmark = pytest.mark.django_db

LIFT = {
    "lift_raised_axle": "front",
    "lift_static_radius_mm": "40 cm",
    **{f"lift_{n}_raised_mm": mm for n, mm in ((1, "300"), (2, "450"), (3, "600"))},
    **{f"lift_{n}_held_axle_kg": kg for n, kg in ((1, "1044"), (2, "1060"), (3, "1076"))},
}
ROWS = {"row_1_x_mm": "1340", "row_1_seats": "2", "row_2_x_mm": "2230", "row_2_seats": "3"}


def send(as_, desk, job, **changes):
    response = as_(desk).post(f"/jobs/{job.number}/vehicle/", facts(job, **changes))
    job.vehicle.refresh_from_db()
    return response


def test_the_readings_become_the_case(as_, desk, job):
    corners = {"corner_front_left_kg": "571", "corner_front_right_kg": "579"}
    assert send(as_, desk, job, **LIFT, **ROWS, **corners).status_code == 302
    data = case_data(job.vehicle, jurisdiction="NSW")
    assert data["axle_lift"]["static_radius_mm"] == 400
    assert data["axle_lift"]["steps"][2] == {"raised_mm": 600, "held_axle_kg": 1076}
    assert data["corner_weights"] == {"front_left_kg": 571, "front_right_kg": 579}
    assert data["seat_rows"] == [{"x_mm": 1340, "seats": 2}, {"x_mm": 2230, "seats": 3}]


def test_what_was_not_measured_is_not_in_the_case(as_, desk, job):
    assert send(as_, desk, job).status_code == 302
    assert not {"axle_lift", "corner_weights", "seat_rows"} & set(case_data(job.vehicle, jurisdiction="NSW"))


def test_the_trail_keeps_what_changed(as_, desk, job):
    send(as_, desk, job, **LIFT)
    changed = AuditEntry.objects.filter(job=job).latest("pk").details["changed"]
    assert changed["lift_1_held_axle_kg"] == [None, 1044]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"row_1_seats": "7"}, "1 to 6"),
        ({"row_1_seats": "2.5"}, "whole numbers"),
        ({"lift_raised_axle": "left"}, "not one of the available choices"),
        ({"lift_scale_error_kg": "0"}, "0.1 to 100 kg"),
        ({"corner_front_left_kg": "nan"}, "10 to 5,000 kg"),
        (ROWS | {"row_2_seats": "6"}, "the rows hold 8 seats, the vehicle has 5"),
        ({"corner_front_left_kg": "700", "corner_front_right_kg": "579"}, "is not the front axle"),
        (LIFT | {"lift_3_held_axle_kg": "200", "lift_2_held_axle_kg": "200"}, "200 to 1,800 mm"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_nothing_is_lost(as_, desk, job, changes, words):
    response = send(as_, desk, job, **changes)
    assert response.status_code == 200
    text = response.content.decode()
    assert words in text
    assert next(iter(changes.values())) in text
    assert job.vehicle.lift_raised_axle == ""


def test_rows_are_counted_after_a_change_of_seating(as_, desk, job):
    job.vehicle.modifications.create(kind="seating_change", values={"seats": 2})
    assert send(as_, desk, job, row_1_x_mm="1340", row_1_seats="2").status_code == 302
