"""Loading plans from the case: what goes where at both masses, and why not when nothing does."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.calculations.cases import EXAMPLE
from tests.calculations.measured_cases import LIFT, PLACES, ROWS, worked
from vehicles.calculations.ballast import Piece
from vehicles.calculations.sheet import sheet
from vehicles.reference import ballast_stock

STOCK = ballast_stock()
BRAKES = {"kind": "brake_change"}


def of_pieces(*pieces):
    return replace(STOCK, pieces=tuple(Piece(key=f"{kg} kg", mass_kg=kg, count=count) for kg, count in pieces))


@pytest.fixture(scope="module")
def example():
    return worked(BRAKES)


def test_each_seat_of_the_example_gets_its_share_on_the_floor(example):
    found = example.loading.tm2.plan
    # Source: the worked example: 260 kg over the seats, 68 kg of luggage; four seats beside the driver's, 65 kg each.
    assert found.mass_kg == 328
    loaded = {place: kg for place, kg in found.by_place.items() if kg}
    floors = ("row 1, left", "row 2, left", "row 2, middle", "row 2, right")
    assert loaded == {f"{name}, floor": 65 for name in floors} | {"luggage area": 68}


def test_the_axles_as_loaded_are_those_of_the_masses_when_the_plan_is_exact(example):
    # Ground truth: the same moments, from the same places, computed load by load.
    assert example.loading.tm2.plan.front_axle_kg == pytest.approx(example.axles.front.tm2_kg, abs=1e-6)
    assert example.loading.tm2.plan.rear_axle_kg == pytest.approx(example.axles.rear.tm2_kg, abs=1e-6)


def test_the_driver_needs_no_ballast_and_none_is_planned(example):
    assert example.loading.tm1.target_kg == 0
    assert example.as_dict()["ballast"]["tm1"]["state"] == "nothing"


def test_the_forces_of_the_lashing_are_those_of_the_guide(example):
    # Source: NTC load restraint guide, 0.8 g forward, 0.5 g sideways and rearward, 0.2 g upward; g = 9.80665 m/s².
    held = example.loading.tm2.plan.restraint["luggage area"]
    assert [round(n) for n in (held.forward_n, held.sideways_n, held.rearward_n, held.upward_n)] == [533, 333, 333, 133]


def test_the_height_of_the_centre_of_gravity_takes_the_ballast_as_planned(example):
    with_plan = worked(BRAKES, cg_height_mm=760)
    without = worked(BRAKES, cg_height_mm=760, rows=None)
    assert without.loading.tm2.undecided[0].startswith("places.seats_x_mm")
    assert with_plan.stability[0].cg_height_mm == without.stability[0].cg_height_mm
    load = with_plan.loading.as_load(1895)
    first, second = with_plan.stability
    moment = first.cg_height_mm * with_plan.masses.tm1_kg + load.height_mm * load.mass_kg
    assert second.cg_height_mm == pytest.approx(moment / (with_plan.masses.tm1_kg + load.mass_kg))


def test_a_light_driver_and_missing_equipment_are_loaded_at_their_own_places():
    done = worked(BRAKES, crew={"driver_kg": 60, "missing_equipment_kg": 17})
    first = done.loading.tm1.plan
    # 68 kg − 60 kg at the driver's place, 17 kg where the equipment belongs: each at least that.
    assert first.target_kg == 25
    assert first.by_place["driver's place, floor"] >= 8
    assert first.by_place["missing equipment"] >= 17
    assert done.loading.tm2.plan.target_kg == pytest.approx(done.masses.tm2_kg - done.masses.tm1_kg - first.over_kg)
    loaded = round(first.by_place["driver's place, floor"])
    assert f"driver's place, floor: {loaded} kg (" in sheet(done)


def test_what_the_first_mass_took_is_not_there_for_the_second():
    done = worked(BRAKES, crew={"driver_kg": 60}, stock=of_pieces((8, 1), (20, 20)))
    assert done.loading.tm1.plan.puts[0].piece == "8 kg"
    assert {put.piece for put in done.loading.tm2.plan.puts} == {"20 kg"}


def test_without_rows_the_seats_are_a_group_on_each_side():
    done = worked(BRAKES, rows=None, places=PLACES | {"seats_x_mm": 2000})
    loaded = {place: kg for place, kg in done.loading.tm2.plan.by_place.items() if kg}
    assert loaded == {"left-hand seats, floor": 130, "right-hand seats, floor": 130, "luggage area": 68}
    assert "one group on each side" in done.loading.tm2.notes[0]


def test_goods_are_spread_over_the_load_bed_up_to_the_gvm_and_the_last_gram_is_told():
    done = worked(BRAKES, adr_category="NA")
    second = done.loading.tm2
    left, right = (second.plan.by_place[f"load bed, {side}"] for side in ("left", "right"))
    assert abs(left - right) <= 1
    assert second.plan.mass_kg >= second.target_kg
    over = done.masses.tm1_kg + second.plan.mass_kg - 2950
    assert f"{over:.2f} kg above the GVM" in " ".join(done.cautions)


def light_driver(category, gvm_kg, *pieces):
    """A driver of 60 kg, who carries 8 kg of ballast: Test Mass 1 is 2,281.54 kg."""
    return worked(BRAKES, adr_category=category, gvm_kg=gvm_kg, crew={"driver_kg": 60}, stock=of_pieces(*pieces))


def test_ballast_of_the_first_mass_that_goes_above_the_gvm_is_told_for_both_masses():
    done = light_driver("NA", 2290, (20, 20))
    assert done.masses.tm1_kg == pytest.approx(2281.54)
    # 2,281.54 − 8 + 20 = 2,293.54 kg, 3.54 kg above 2,290 kg; at Test Mass 2 the same pieces are still aboard.
    for mass, name in ((done.loading.tm1, "Test Mass 1"), (done.loading.tm2, "Test Mass 2")):
        assert any(f"{name} is 3.54 kg above the GVM" in text for text in mass.cautions)
    assert done.loading.tm2.target_kg == 0
    assert sum("3.54 kg above the GVM" in text for text in done.cautions) == 2
    assert "3.54 kg above the GVM" in sheet(done)


def test_a_piece_that_keeps_the_first_mass_below_the_gvm_is_taken():
    done = light_driver("NA", 2290, (20, 20), (10, 2))
    assert [put.mass_kg for put in done.loading.tm1.plan.puts] == [10]
    assert not any("above the GVM" in text for text in done.loading.tm1.cautions)
    assert "Test Mass 2 is" in " ".join(done.cautions)


def test_a_passenger_vehicle_is_not_loaded_above_its_gvm_at_the_first_mass():
    first = light_driver("MC", 2290, (20, 20)).loading.tm1
    assert first.plan is None
    assert "heavier than allowed in all" in first.reasons[0]


def test_a_first_mass_above_the_gvm_gets_no_plan():
    first = light_driver("NA", 2280, (20, 20)).loading.tm1
    assert (first.plan, first.reasons) == (
        None,
        ("Test Mass 1 is 1.5 kg above the GVM: there is no loading to drive with.",),
    )


def test_what_the_first_mass_leaves_over_is_told_at_the_second_when_that_needs_nothing_more():
    second = light_driver("NA", 2281.54, (20, 20)).loading.tm2
    assert any("Test Mass 2 is 12.0 kg over its target" in text for text in second.cautions)


def test_exactly_the_gvm_is_not_above_it():
    done = worked(BRAKES, adr_category="NA", gvm_kg=2293.54 + 400)
    assert done.loading.tm2.plan.over_kg == pytest.approx(0)
    assert not any("above the GVM" in text for text in done.cautions)


@pytest.mark.parametrize(("seats", "names"), [
    (((1340, 1), (2230, 1)), ["row 2, middle"]),
    (((1340, 2), (2230, 4)), ["row 1, left", "row 2, left", "row 2, 2 from the left", "row 2, 3 from the left",
                              "row 2, right"]),
])  # fmt: skip
def test_seats_are_named_as_one_stands_before_them(seats, names):
    rows = [{"x_mm": x, "seats": n} for x, n in seats]
    done = worked(BRAKES, rows=rows, seats=sum(n for _, n in seats))
    assert [p.key for p in done.loading.tm2.places if p.key.endswith("floor")] == [f"{n}, floor" for n in names]


def test_a_row_spreads_over_the_width_and_is_balanced():
    places = {p.key: p.y_mm for p in worked(BRAKES).loading.tm2.places}
    assert places["row 1, left, floor"] == pytest.approx(0.2 * 1885)
    assert places["row 2, middle, floor"] == 0
    assert places["row 2, left, floor"] == -places["row 2, right, floor"] == pytest.approx(0.24 * 1885)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"crew": {"driver_kg": None}}, "crew.driver_kg"),
        ({"places": {**PLACES, "fuel_x_mm": None}}, "places.fuel_x_mm"),
        ({"places": {**PLACES, "luggage_x_mm": None}}, "places.luggage_x_mm"),
        ({"rows": [{"x_mm": 1340, "seats": 2}, {"seats": 3}]}, "seat_rows: measure each row"),
        ({"overall_width_mm": None}, "vehicle.overall_width_mm"),
        ({"overall_height_mm": None}, "vehicle.overall_height_mm"),
        ({"wheelbase_mm": None}, "vehicle.wheelbase_mm"),
        ({"front_axle_kg": None}, "vehicle.front_axle_kg, vehicle.rear_axle_kg"),
        ({"front_axle_rating_kg": None}, "front_axle_rating_kg: needed to keep"),
    ],
)
def test_what_has_to_be_measured_for_a_plan(changes, said):
    done = worked(BRAKES, **changes)
    assert any(text.startswith(said) for text in done.loading.tm2.undecided)
    assert any(text.startswith(said) for text in done.undecided)


def test_what_has_to_be_measured_for_the_drivers_ballast():
    done = worked(BRAKES, crew={"driver_kg": 60}, places={**PLACES, "driver_x_mm": None})
    assert done.loading.tm1.undecided == ("places.driver_x_mm: measure how far the hip of the driver lies behind "
                                          "the front axle",)  # fmt: skip


def test_above_the_gvm_nothing_more_is_loaded():
    done = worked(
        BRAKES, seats=1, rows=[{"x_mm": 1340, "seats": 1}], adr_category="NA", gvm_kg=2200, empty_mass_kg=2165
    )
    assert (done.loading.tm2.target_kg, done.loading.tm2.plan) == (0, None)
    assert "above the GVM" in done.loading.tm2.reasons[0]


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"gvm_kg": 2400}, "above the GVM: there is no loading to drive with"),
        ({"rear_axle_rating_kg": 1100}, "the rear axle would be over its rating"),
        ({"stock": of_pieces((20, 3))}, "the stock holds 60 kg"),
        ({"places": {**PLACES, "fuel_x_mm": 8000, "instruments_x_mm": 8000}, "crew": {"instruments_kg": 300},
          "front_axle_kg": 520, "rear_axle_kg": 1645}, "check where the loads lie"),
    ],
)  # fmt: skip
def test_why_there_is_no_loading(changes, reason):
    done = worked(BRAKES, **changes)
    assert any(reason in text for text in done.loading.tm2.reasons)
    assert done.as_dict()["ballast"]["tm2"]["state"] == "impossible"
    assert sheet(done)


def test_the_drivers_ballast_can_be_impossible_as_well():
    wrong = {**PLACES, "instruments_x_mm": 8000}
    done = worked(
        BRAKES,
        places=wrong,
        crew={"driver_kg": 60, "instruments_kg": 300},
        front_axle_kg=520,
        rear_axle_kg=1645,
    )
    assert any("check where the loads lie" in text for text in done.loading.tm1.reasons)


def test_pieces_too_large_for_the_target_are_told():
    """A driver of 60 kg lacks 8 kg; the smallest piece has 25 kg, 17 kg more than it takes."""
    done = worked(BRAKES, crew={"driver_kg": 60}, stock=of_pieces((25, 40)))
    assert done.loading.tm1.plan.over_kg == pytest.approx(17)
    assert any(text.startswith("The loading to Test Mass 1 is 17.0 kg over its target") for text in done.cautions)
    fine = worked(BRAKES, crew={"driver_kg": 60}, stock=of_pieces((1, 40), (25, 40)))
    assert not any("over its target" in text for text in fine.cautions)


def test_without_a_stock_no_loading_is_planned():
    from tests.calculations.cases import done

    bare = done(BRAKES)
    assert bare.loading is None
    assert bare.as_dict()["ballast"] is None
    assert "no stock of ballast was given" in sheet(bare)


def test_a_plan_can_be_opened(example):
    opened = {item.quantity: item for item in example.working}
    assert opened["Ballast at Test Mass 2"].value == 328
    assert opened["Lashing forward at Test Mass 2, heaviest place: luggage area"].unit == "N"
    assert "Rear axle at Test Mass 2 as loaded" in opened


@settings(max_examples=15, deadline=None)
@given(
    driver=st.floats(min_value=45, max_value=120),
    gvm=st.floats(min_value=2500, max_value=3500),
    rear=st.floats(min_value=1250, max_value=2000),
    goods=st.booleans(),
)
def test_mass_is_conserved_moments_balance_and_no_limit_is_broken(driver, gvm, rear, goods):
    kind = "NA" if goods else "MC"
    done = worked(BRAKES, crew={"driver_kg": driver}, gvm_kg=gvm, rear_axle_rating_kg=rear, adr_category=kind)
    before = {"front": done.axles.front.empty_kg, "rear": done.axles.rear.empty_kg}
    assert sum(before.values()) == pytest.approx(done.case.vehicle.empty_mass_kg)
    one = done.loading.tm2
    if one.plan is None:
        assert one.reasons or one.target_kg == 0
        return
    found = one.plan
    over = done.loading.tm1.plan.over_kg if done.loading.tm1.plan else 0
    assert found.mass_kg >= one.target_kg - 0.001
    assert found.front_axle_kg + found.rear_axle_kg == pytest.approx(done.masses.tm1_kg + over + found.mass_kg)
    assert found.rear_axle_kg <= rear + 0.01
    assert all(found.by_place[place.key] <= place.most_kg + 0.001 for place in one.places)
    for piece in STOCK.pieces:
        assert sum(put.count for put in found.puts if put.piece == piece.key) <= piece.count
    if not goods:
        assert done.masses.tm1_kg + over + found.mass_kg <= gvm + 0.001


def test_rows_are_used_for_the_axle_masses_too():
    # Four seats beside the driver's: one at 1,340 mm and three at 2,230 mm, centre 2,007.5 mm.
    by_rows = worked(BRAKES).axles.rear.tm2_kg
    by_centre = worked(BRAKES, rows=None, places=PLACES | {"seats_x_mm": (1340 + 3 * 2230) / 4}).axles.rear.tm2_kg
    assert by_rows == pytest.approx(by_centre)
    assert len(ROWS) == 2


def test_a_vehicle_for_goods_at_its_gvm_needs_no_more():
    done = worked(BRAKES, adr_category="NA", gvm_kg=2293.54)
    assert done.masses.tm2_kg == done.masses.tm1_kg
    assert (done.loading.tm2.target_kg, done.loading.tm2.reasons, done.loading.tm2.undecided) == (0, (), ())


@settings(max_examples=25, deadline=None)
@given(
    facts=st.sets(st.sampled_from(sorted(EXAMPLE["vehicle"]))),
    places=st.sets(st.sampled_from(sorted(PLACES))),
    rows=st.sampled_from([ROWS, None, ({"x_mm": 1340}, {"seats": 3})]),
    lift=st.sampled_from([LIFT, None, {}]),
)
def test_whatever_is_not_measured_the_rest_is_planned_or_the_gap_is_named(facts, places, rows, lift):
    known = {name: x for name, x in PLACES.items() if name not in places}
    done = worked(BRAKES, places=known, rows=rows, lift=lift, **dict.fromkeys(facts))
    data = done.as_dict()
    json.dumps(data, allow_nan=False)
    assert sheet(done)
    for mass in ("tm1", "tm2"):
        one = data["ballast"][mass]
        assert one["state"] != "undecided" or one["undecided"]
        assert (one["plan"] is not None) is (one["state"] == "planned")
