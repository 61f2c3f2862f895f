"""The height of the centre of gravity from the readings of an axle lift, on its way through a case."""

from math import asin, hypot, sqrt, tan

import pytest

from tests.calculations.measured_cases import LIFT, measured, worked
from vehicles.calculations.axle_lift import measured_height
from vehicles.calculations.errors import CalculationError, CaseError
from vehicles.calculations.parse_case import parse_case
from vehicles.calculations.sheet import sheet

BRAKES = {"kind": "brake_change"}
# Source: worked example of an axle lift: L 2750 mm, front 1150, rear 950 kg, r 380 mm, front raised 600 mm, rear
# then 1010 kg: 12.602° and 731.4 mm. Taken three times over, so that the mean is the printed height.
PRINTED = {
    "empty_mass_kg": 2100,
    "front_axle_kg": 1150,
    "rear_axle_kg": 950,
    "wheelbase_mm": 2750,
}


def lift(*held, raised=(600, 600, 600), **changes):
    steps = [{"raised_mm": h, "held_axle_kg": w} for h, w in zip(raised, held, strict=True)]
    return {"raised_axle": "front", "static_radius_mm": 380, "steps": steps} | changes


def height_of(given, **changes):
    return measured_height(parse_case(measured(BRAKES, lift=given, **PRINTED | changes)))


def test_the_printed_example_through_a_case():
    found = height_of(lift(1010, 1010, 1010))
    assert found.height_mm == pytest.approx(731.4, abs=0.05)
    assert {round(step.angle_deg, 3) for step in found.steps} == {12.602}
    assert found.measured_by == "axle_lift"


def test_three_equal_steps_average_out_only_their_own_reading():
    one = height_of(lift(1010, 1010, 1010))
    step = one.steps[0]
    common = hypot(step.by_level_mm, step.by_mass_mm, step.by_angle_mm)
    assert one.error_mm == pytest.approx(hypot(step.by_reading_mm / sqrt(3), common))


def test_a_better_scale_leaves_less():
    errors = [height_of(lift(1010, 1010, 1010, scale_error_kg=kg)).error_mm for kg in (0.5, 2, 5)]
    assert errors == sorted(errors) and errors[0] < errors[2] / 2
    angles = [height_of(lift(1010, 1010, 1010, angle_error_deg=a)).error_mm for a in (0.05, 0.2, 1)]
    assert angles == sorted(angles) and angles[0] < angles[2]


def test_with_the_rear_raised_the_front_axle_is_read():
    level, angle = 1150, asin(600 / 2750)
    held = level + 351.4 * 2100 * tan(angle) / 2750
    found = height_of(lift(held, held, held, raised_axle="rear"))
    assert found.height_mm == pytest.approx(380 + 351.4)


def test_stability_takes_the_weighed_height_with_its_error():
    done = worked(BRAKES, lift=LIFT)
    measured_mm = done.centre_of_gravity.height
    narrow, wide = done.stability[0], worked(BRAKES, lift=LIFT | {"scale_error_kg": 10}).stability[0]
    assert narrow.estimate is False and narrow.ssf is not None
    assert wide.ssf_high - wide.ssf_low > narrow.ssf_high - narrow.ssf_low
    data = done.as_dict()["centre_of_gravity"]
    assert (data["height_mm"], data["error_mm"]) == pytest.approx(
        (measured_mm.height_mm, measured_mm.error_mm), abs=1e-6
    )
    assert len(data["steps"]) == 3
    assert f"± {measured_mm.error_mm:.0f} mm" in sheet(done)


def test_a_stated_height_is_used_until_a_lift_is_complete():
    stated = worked(BRAKES, cg_height_mm=760)
    assert stated.centre_of_gravity.height.measured_by == "stated"
    assert stated.centre_of_gravity.height.error_mm == 20
    begun = worked(BRAKES, cg_height_mm=760, lift={"raised_axle": "front"})
    assert begun.centre_of_gravity.height.height_mm == 760
    both = worked(BRAKES, cg_height_mm=900, lift=LIFT)
    assert both.centre_of_gravity.height.measured_by == "axle_lift"
    assert any("stated height of the centre of gravity, 900 mm, is not used" in text for text in both.cautions)


@pytest.mark.parametrize(
    ("given", "changes", "said"),
    [
        (LIFT | {"raised_axle": None}, {}, "axle_lift.raised_axle"),
        (LIFT | {"static_radius_mm": None}, {}, "axle_lift.static_radius_mm"),
        (LIFT | {"steps": LIFT["steps"][:2]}, {}, "axle_lift.steps: raise the axle in at least three steps"),
        (LIFT | {"steps": None}, {}, "axle_lift.steps: raise the axle in at least three steps"),
        (LIFT | {"steps": [*LIFT["steps"], {"raised_mm": 700}]}, {}, "axle_lift.steps[3].held_axle_kg"),
        (LIFT | {"steps": [*LIFT["steps"], {"held_axle_kg": 1080}]}, {}, "axle_lift.steps[3].raised_mm"),
        (LIFT, {"wheelbase_mm": None}, "vehicle.wheelbase_mm"),
        (LIFT, {"empty_mass_kg": None}, "vehicle.empty_mass_kg"),
        (LIFT, {"rear_axle_kg": None}, "vehicle.rear_axle_kg: weigh it level"),
    ],
)
def test_what_a_weighing_that_was_begun_still_lacks(given, changes, said):
    done = worked(BRAKES, lift=given, **changes)
    assert done.centre_of_gravity.height.height_mm is None
    assert any(text.startswith(said) for text in done.undecided)


@pytest.mark.parametrize(
    ("held", "changes", "said"),
    [
        ((500, 500, 500), {}, "cg_height_mm"),
        ((1010, 1010, 1010), {"overall_height_mm": 820, "cg_height_mm": None, "static": 500}, "not below"),
    ],
)
def test_readings_that_no_vehicle_gives_are_refused(held, changes, said):
    radius = changes.pop("static", 380)
    with pytest.raises(CaseError, match=said):
        height_of(lift(*held, static_radius_mm=radius), **changes)


def test_an_axle_raised_by_as_much_as_the_wheelbase_is_refused():
    with pytest.raises(CaseError, match="less than the wheelbase"):
        height_of(lift(1010, 1010, 1010, raised=(600, 600, 1500)), wheelbase_mm=1400, overall_length_mm=4000)


def test_outside_a_case_the_calculation_refuses_it_itself():
    from dataclasses import replace

    good = parse_case(measured(BRAKES, lift=lift(1010, 1010, 1010), **PRINTED))
    bad = replace(good, vehicle=replace(good.vehicle, wheelbase_mm=500))
    with pytest.raises(CalculationError, match="wheelbase_mm"):
        measured_height(bad)
