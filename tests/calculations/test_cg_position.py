"""Where the centre of gravity lies along and across, empty and at both test masses."""

import pytest

from tests.calculations.measured_cases import CORNERS, LIFT, PLACES, worked
from vehicles.calculations.sheet import sheet

BRAKES = {"kind": "brake_change"}


def at(done):
    return {position.mass: position for position in done.centre_of_gravity.positions}


def test_along_it_is_where_the_axles_balance():
    found = at(worked(BRAKES))
    # Source: moments about the front axle: 2790 × 1015 / 2165 = 1308.0 mm.
    assert found["empty"].behind_front_axle_mm == pytest.approx(1308.0, abs=0.05)
    done = worked(BRAKES)
    assert at(done)["tm2"].behind_front_axle_mm == pytest.approx(2790 * done.axles.rear.tm2_kg / done.masses.tm2_kg)


def test_across_it_follows_from_the_corner_weights_and_moves_with_driver_and_ballast():
    done = worked(BRAKES, corners=CORNERS)
    empty = 1585 / 2 * (571 - 579 + 512 - 503) / 2165
    assert at(done)["empty"].left_of_middle_mm == pytest.approx(empty)
    # By hand: the driver of 80 kg sits 0.20 × 1885 mm right of the middle.
    moment = 2165 * empty - 80 * 0.2 * 1885
    assert at(done)["tm1"].left_of_middle_mm == pytest.approx(moment / done.masses.tm1_kg)
    # The front passenger's 65 kg lie as far to the left; the rear seats and the luggage balance.
    assert at(done)["tm2"].left_of_middle_mm == pytest.approx((moment + 65 * 0.2 * 1885) / done.masses.tm2_kg)


def test_without_a_plan_the_ballast_counts_at_the_middle():
    done = worked(BRAKES, corners=CORNERS, rows=None)
    moment = at(done)["tm1"].left_of_middle_mm * done.masses.tm1_kg
    assert at(done)["tm2"].left_of_middle_mm == pytest.approx(moment / done.masses.tm2_kg)


def test_without_a_second_mass_only_the_first_is_known():
    found = at(worked(BRAKES, corners=CORNERS, jurisdiction=None))
    assert found["tm1"].left_of_middle_mm is not None
    assert found["tm2"].left_of_middle_mm is None


@pytest.mark.parametrize("changes", [{"crew": {"driver_kg": None}}, {"overall_width_mm": None}])
def test_without_driver_or_width_only_the_empty_vehicle_is_known(changes):
    found = at(worked(BRAKES, corners=CORNERS, **changes))
    assert found["empty"].left_of_middle_mm is not None
    assert found["tm1"].left_of_middle_mm is None


@pytest.mark.parametrize("changes", [{"track_front_mm": None}, {"empty_mass_kg": None}, {"corners": None}])
def test_without_tracks_mass_or_corner_weights_nothing_is_known_across(changes):
    found = at(worked(BRAKES, **{"corners": CORNERS} | changes))
    assert {position.left_of_middle_mm for position in found.values()} == {None}


def test_a_weighing_that_was_begun_names_what_it_lacks():
    done = worked(BRAKES, corners={"front_left_kg": 571})
    assert "corner_weights.rear_right_kg: weigh it" in done.undecided
    assert not any(text.startswith("corner_weights") for text in worked(BRAKES).undecided)


@pytest.mark.parametrize(("left", "right", "side", "other"), [(640, 510, "left", "right"), (510, 640, "right", "left")])
def test_a_vehicle_that_leans_is_told(left, right, side, other):
    done = worked(BRAKES, corners=CORNERS | {"front_left_kg": left, "front_right_kg": right})
    told = [text for text in done.cautions if "of the middle (Empty)" in text]
    assert side in told[0] and f"turn to the {other}" in told[0]


def test_places_measured_wrongly_leave_the_place_along_undecided():
    wrong = dict.fromkeys(PLACES, 8000)
    done = worked(BRAKES, places=wrong, crew={"instruments_kg": 300}, front_axle_kg=520, rear_axle_kg=1645)
    assert at(done)["tm1"].behind_front_axle_mm is None


def test_it_can_be_opened_and_stands_on_the_sheet():
    done = worked(BRAKES, corners=CORNERS, lift=LIFT)
    quantities = {item.quantity for item in done.working}
    assert "Centre of gravity left of the middle, Test Mass 2" in quantities
    assert "Centre of gravity behind the front axle, Empty" in quantities
    assert "behind the front axle" in sheet(done)
