"""Test Mass 1 and Test Mass 2, and the axles under them."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.calculations.cases import case, done
from vehicles.calculations.axles import axle_masses, shares_kg
from vehicles.calculations.errors import CalculationError

BRAKES = {"kind": "brake_change"}
PLACES = {
    "driver_x_mm": 1300, "fuel_x_mm": 2400, "instruments_x_mm": 1500,
    "seats_x_mm": 1900, "luggage_x_mm": 3200, "goods_x_mm": 2900,
}  # fmt: skip


def test_the_worked_example():
    # Source: the worked example of the work-up, printed to 0.01 kg.
    masses = done().masses
    assert masses.fuel_added_kg == pytest.approx(36.54, abs=5e-3)
    assert masses.tm1_kg == pytest.approx(2293.54, abs=5e-3)
    assert (masses.seat_ballast_kg, masses.goods_ballast_kg) == (260, 0)
    assert masses.luggage_ballast_kg == pytest.approx(68)
    assert masses.tm2_kg == pytest.approx(2621.54, abs=5e-3)
    assert masses.within_gvm is True


def test_a_full_tank_is_drained_and_unladen_less_tare_is_the_fuel():
    # Source: 80 L diesel: unladen (full) less tare (10 L) is 58.8 kg at 840 kg/m³.
    unladen = done(BRAKES, fuel_tank_l=80, fuel_level=0.125).category.unladen_kg
    assert unladen - 2165 == pytest.approx(58.8, abs=0.05)
    full = done(BRAKES, fuel_level=1)
    assert full.masses.fuel_added_kg == pytest.approx(-7.308)
    assert any("drain 7.3 kg" in text for text in full.cautions)


@pytest.mark.parametrize(("fuel", "kg"), [("petrol", 32.19), ("diesel", 36.54), ("lpg", 23.055), ("electric", 0)])
def test_each_fuel_by_its_density(fuel, kg):
    # Source: 43.5 L at 740, 840 (EN 590) and 530 kg/m³; electric has no fuel.
    assert done(BRAKES, fuel=fuel).masses.fuel_added_kg == pytest.approx(kg)


def test_electric_needs_no_tank():
    assert done(BRAKES, fuel="electric", fuel_tank_l=None, fuel_level=None).masses.tm1_kg == 2165 + 92


@pytest.mark.parametrize(("driver_kg", "ballast_kg"), [(68, 0), (67, 1), (60, 8)])
def test_a_light_driver_carries_ballast_in_both_masses(driver_kg, ballast_kg):
    work_up = done(BRAKES, crew={"driver_kg": driver_kg})
    assert work_up.masses.driver_ballast_kg == ballast_kg
    assert work_up.masses.seat_ballast_kg == 272
    assert any(f"carries {ballast_kg}.0 kg of ballast" in text for text in work_up.cautions) is bool(ballast_kg)


def test_a_driver_heavier_than_all_seats():
    work_up = done(BRAKES, adr_category="MA", seats=1, crew={"driver_kg": 120})
    assert work_up.masses.seat_ballast_kg == 0
    assert any("no seat ballast" in text for text in work_up.cautions)


def test_other_jurisdictions_load_less_luggage_and_none_known_is_undecided():
    assert done(BRAKES, jurisdiction="VIC").masses.luggage_ballast_kg == 35
    unknown = done(BRAKES, jurisdiction=None).masses
    assert (unknown.luggage_ballast_kg, unknown.tm2_kg) == (None, None)
    assert any(text.startswith("jurisdiction:") for text in unknown.undecided)


def test_goods_vehicles_are_loaded_to_the_gvm():
    masses = done(BRAKES, adr_category="NA").masses
    assert masses.tm2_kg == 2950
    assert masses.goods_ballast_kg == pytest.approx(656.46)
    assert (masses.seat_ballast_kg, masses.luggage_ballast_kg) == (0, 0)
    bus = done(BRAKES, adr_category="MD1", seats=10).masses
    assert bus.tm2_kg == 2950
    assert any(text.startswith("A bus is loaded to its GVM") for text in bus.cautions)
    assert not any("bus" in text for text in masses.cautions)


@pytest.mark.parametrize(("gvm_kg", "within"), [(2621.54, True), (2621, False)])
def test_above_the_gvm_is_told(gvm_kg, within):
    work_up = done(BRAKES, gvm_kg=gvm_kg)
    assert work_up.masses.within_gvm is within
    assert any("above the GVM" in text for text in work_up.cautions) is not within


def test_a_goods_vehicle_that_is_too_heavy_gets_no_ballast():
    masses = done(BRAKES, adr_category="NA", gvm_kg=2200).masses
    assert masses.within_gvm is False
    assert masses.goods_ballast_kg == 0
    assert masses.tm2_kg == masses.tm1_kg


@pytest.mark.parametrize(
    ("changes", "named", "lost"),
    [
        ({"fuel": None}, "vehicle.fuel", "tm1_kg"),
        ({"fuel_level": None}, "vehicle.fuel_level", "tm1_kg"),
        ({"fuel_tank_l": None}, "vehicle.fuel_tank_l", "tm1_kg"),
        ({"crew": {"driver_kg": None}}, "crew.driver_kg", "tm1_kg"),
        ({"empty_mass_kg": None}, "vehicle.empty_mass_kg", "tm1_kg"),
        ({"seats": None}, "vehicle.seats", "tm2_kg"),
        ({"adr_category": None}, "category", "tm2_kg"),
        ({"gvm_kg": None}, "vehicle.gvm_kg", "within_gvm"),
        ({"gvm_kg": None, "adr_category": "NA"}, "vehicle.gvm_kg", "tm2_kg"),
    ],
)
def test_what_is_missing_is_named_and_not_guessed(changes, named, lost):
    masses = done(BRAKES, **changes).masses
    assert getattr(masses, lost) is None
    assert named in {text.split(":")[0] for text in masses.undecided}


def test_missing_equipment_counts_in_the_unladen_mass():
    full = done(BRAKES).category.unladen_kg
    assert done(BRAKES, crew={"missing_equipment_kg": 100}).category.unladen_kg == pytest.approx(full + 100)


def test_missing_equipment_is_put_back():
    assert done(BRAKES, crew={"missing_equipment_kg": 25}).masses.tm1_kg == pytest.approx(2318.54)


@given(st.floats(35, 150), st.integers(1, 9), st.floats(0, 1), st.sampled_from(["MA", "MC", "NA"]), st.floats(0, 50))
def test_mass_is_conserved(driver_kg, seats, level, category, instruments_kg):
    crew = {"driver_kg": driver_kg, "instruments_kg": instruments_kg}
    m = done(BRAKES, adr_category=category, seats=seats, fuel_level=level, crew=crew).masses
    aboard = m.fuel_added_kg + m.driver_kg + m.driver_ballast_kg + m.instruments_kg
    assert m.tm1_kg == pytest.approx(2165 + aboard)
    assert m.tm2_kg == pytest.approx(m.tm1_kg + m.seat_ballast_kg + m.luggage_ballast_kg + m.goods_ballast_kg)
    assert m.driver_kg + m.driver_ballast_kg >= 68
    assert min(m.seat_ballast_kg, m.luggage_ballast_kg, m.goods_ballast_kg) >= 0


def test_a_load_behind_the_rear_axle_takes_mass_off_the_front():
    # Source: statics: 200 kg placed 300 mm behind the rear axle of a 2750 mm wheelbase, printed +221.8, −21.8.
    front, rear = shares_kg(mass_kg=200, x_mm=3050, wheelbase_mm=2750)
    assert (front, rear) == (pytest.approx(-21.8, abs=0.05), pytest.approx(221.8, abs=0.05))
    for wrong in ({"wheelbase_mm": 0}, {"mass_kg": float("nan")}, {"x_mm": float("inf")}, {"x_mm": 80_000}):
        with pytest.raises(CalculationError, match=next(iter(wrong))):
            shares_kg(**{"mass_kg": 200, "x_mm": 0, "wheelbase_mm": 2750} | wrong)


def test_axles_with_every_place_measured():
    axles = done(BRAKES, places=PLACES).axles
    # By hand, moments about the front axle at Test Mass 1: 1015 + (36.54 × 2400 + 80 × 1300 + 12 × 1500) / 2790.
    assert axles.rear.tm1_kg == pytest.approx(1090.16, abs=5e-3)
    # and 260 kg at 1900, 68 kg at 3200 mm more at Test Mass 2.
    assert axles.rear.tm2_kg == pytest.approx(1345.21, abs=5e-3)
    assert axles.rear.within_rating is True
    assert axles.rear.tm2_margin_kg == pytest.approx(1780 - 1345.21, abs=5e-3)
    assert axles.undecided == ()
    told = {working.quantity: working for working in axles.workings}
    assert len(told) == 4 and told["Axle masses: rear at Test Mass 2"].value == axles.rear.tm2_kg
    assert told["Axle masses: front at Test Mass 1"].inputs["driver"] == "80.0 kg at 1300 mm"


@given(st.floats(-500, 5000), st.floats(-500, 5000), st.floats(1200, 4000))
def test_axles_together_are_the_test_masses(driver_x, luggage_x, wheelbase):
    places = {**PLACES, "driver_x_mm": max(driver_x, -2000), "luggage_x_mm": luggage_x}
    work_up = done(BRAKES, places=places, wheelbase_mm=wheelbase, overall_length_mm=None)
    axles, masses = work_up.axles, work_up.masses
    assert axles.front.tm1_kg + axles.rear.tm1_kg == pytest.approx(masses.tm1_kg)
    assert axles.front.tm2_kg + axles.rear.tm2_kg == pytest.approx(masses.tm2_kg)


@given(st.floats(1, 500), st.floats(-2000, 8000), st.floats(1200, 6000))
def test_moments_balance(mass_kg, x_mm, wheelbase_mm):
    front, rear = shares_kg(mass_kg=mass_kg, x_mm=x_mm, wheelbase_mm=wheelbase_mm)
    assume(abs(x_mm) > 1e-6)
    assert rear * wheelbase_mm == pytest.approx(mass_kg * x_mm)
    assert front * wheelbase_mm == pytest.approx(mass_kg * (wheelbase_mm - x_mm), abs=1e-6)


def test_axles_without_places_name_them():
    axles = done(BRAKES).axles
    assert (axles.front.empty_kg, axles.front.tm1_kg, axles.front.within_rating) == (1150, None, None)
    named = {text.split(":")[0] for text in axles.undecided}
    assert named == {f"places.{name}_x_mm" for name in ("fuel", "driver", "instruments", "seats", "luggage")}
    unweighed = done(BRAKES, front_axle_kg=None, wheelbase_mm=None).axles
    assert unweighed.rear.empty_kg is None
    assert any("weigh each axle" in text for text in unweighed.undecided)
    assert any(text.startswith("vehicle.wheelbase_mm") for text in unweighed.undecided)
    unrated = done(BRAKES, front_axle_rating_kg=None, rear_axle_rating_kg=None, places=PLACES).axles
    assert {text.split(":")[0] for text in unrated.undecided} == {
        "vehicle.front_axle_rating_kg",
        "vehicle.rear_axle_rating_kg",
    }


def test_an_overloaded_axle_is_told():
    work_up = done(BRAKES, places=PLACES, rear_axle_rating_kg=1345)
    assert work_up.axles.rear.within_rating is False
    assert any("rear axle carries 1,345.2 kg at Test Mass 2" in text for text in work_up.cautions)


def test_axles_without_an_empty_mass_stay_as_weighed():
    one = case(BRAKES, empty_mass_kg=None, places=PLACES)
    axles = axle_masses(one, masses=done(BRAKES, empty_mass_kg=None).masses)
    assert (axles.front.empty_kg, axles.rear.empty_kg) == (1150, 1015)
