"""Corner weights, axle lift and rows of seats: how they are read, and what contradicts them."""

import pytest

from tests.calculations.measured_cases import CORNERS, LIFT, PLACES, measured
from vehicles.calculations.errors import CaseError
from vehicles.calculations.measurements import AxleLift, Corners, LiftStep, SeatRow, centre_of_rows
from vehicles.calculations.parse_case import parse_case

BRAKES = {"kind": "brake_change"}


def problems(**changes):
    with pytest.raises(CaseError) as refused:
        parse_case(measured(BRAKES, **changes))
    return {problem.path: problem.message for problem in refused.value.problems}


def test_everything_measured_is_read_with_its_units():
    one = parse_case(measured(BRAKES, corners=CORNERS | {"front_left_kg": "0.571 t"}, lift=LIFT))
    assert one.corner_weights == Corners(front_left_kg=571, front_right_kg=579, rear_left_kg=512, rear_right_kg=503)
    assert one.axle_lift.steps[0] == LiftStep(raised_mm=300, held_axle_kg=1044)
    assert one.seat_rows == (SeatRow(x_mm=1340, seats=2), SeatRow(x_mm=2230, seats=3))
    bare = parse_case(measured(BRAKES, rows=None))
    assert (bare.corner_weights, bare.axle_lift, bare.seat_rows) == (Corners(), None, ())
    assert parse_case(measured(BRAKES, lift={})).axle_lift == AxleLift()


@pytest.mark.parametrize(
    ("changes", "path", "words"),
    [
        ({"corners": {"front_left": 571}}, "corner_weights.front_left", "did you mean 'front_left_kg'?"),
        ({"corners": {"front_left_kg": 5}}, "corner_weights.front_left_kg", "10 to 5,000 kg"),
        ({"corners": []}, "corner_weights", "is not an object"),
        ({"lift": LIFT | {"raised_axle": "left"}}, "axle_lift.raised_axle", "one of front, rear"),
        ({"lift": LIFT | {"scale_error_kg": 0}}, "axle_lift.scale_error_kg", "0.1 to 100 kg"),
        ({"lift": LIFT | {"angle_error_deg": float("nan")}}, "axle_lift.angle_error_deg", "0.01 to 5 °"),
        ({"lift": LIFT | {"angel": 1}}, "axle_lift.angel", "unknown key"),
        ({"lift": LIFT | {"steps": {}}}, "axle_lift.steps", "is not a list"),
        ({"lift": LIFT | {"steps": [1]}}, "axle_lift.steps[0]", "is not an object"),
        ({"lift": LIFT | {"steps": [{"raised_mm": 10}]}}, "axle_lift.steps[0].raised_mm", "50 to 2,000 mm"),
        ({"lift": LIFT | {"steps": LIFT["steps"] * 5}}, "axle_lift.steps", "at most 12"),
        ({"rows": [{"x_mm": 1340, "seats": 2.5}]}, "seat_rows[0].seats", "whole numbers"),
        ({"rows": [{"x_mm": 9000, "seats": 2}]}, "seat_rows[0].x_mm", "-2,000 to 8,000 mm"),
    ],
)
def test_what_cannot_be_read_is_named(changes, path, words):
    assert words in problems(**changes)[path]


def test_corner_weights_must_add_up_to_their_axle():
    found = problems(corners=CORNERS | {"front_left_kg": 600, "rear_right_kg": 450})
    assert "1179 kg is not the front axle's 1150 kg" in found["corner_weights.front_left_kg"]
    assert "962 kg is not the rear axle's 1015 kg" in found["corner_weights.rear_left_kg"]


def test_rows_hold_all_seats_after_any_change_of_seating():
    assert "the rows hold 5 seats, the vehicle has 7" in problems(seats=7)["seat_rows"]
    changed = measured({"kind": "seating_change", "seats": 5}, seats=7, adr_category="MB")
    assert len(parse_case(changed).seat_rows) == 2
    assert parse_case(measured(BRAKES, rows=[{"x_mm": 1340}], seats=7)).seat_rows[0].seats is None
    assert parse_case(measured(BRAKES, seats=None)).vehicle.seats is None


def test_rows_and_the_centre_measured_for_them_must_agree():
    # One seat at 1,340 mm and three at 2,230 mm: centre 2,007.5 mm.
    found = problems(places=PLACES | {"seats_x_mm": 2100})
    assert "not the centre of the rows of seats, 2008 mm" in found["places.seats_x_mm"]
    assert parse_case(measured(BRAKES, places=PLACES | {"seats_x_mm": 2000})).place_mm("seats_x_mm") == 2000


@pytest.mark.parametrize(
    ("rows", "centre"),
    [
        ((), None),
        ((SeatRow(x_mm=1340, seats=1),), None),
        ((SeatRow(x_mm=1340, seats=2), SeatRow(seats=3)), None),
        ((SeatRow(x_mm=1340, seats=2),), 1340),
    ],
)
def test_the_centre_of_all_seats_but_the_drivers(rows, centre):
    assert centre_of_rows(rows) == centre
