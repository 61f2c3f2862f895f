"""ADR categories, as presented and as the modifications leave them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.calculations.cases import done
from vehicles.calculations.category import bus_category, goods_category, is_for_goods
from vehicles.calculations.errors import CalculationError

GVM = {"kind": "gvm_upgrade"}


def seats(number):
    return {"kind": "seating_change", "seats": number}


def test_goods_or_passenger():
    # Source: worked checks of the ADR rule: 340 < 525 goods; 476 > 395 passenger; equality passenger.
    assert is_for_goods(seats=5, gvm_kg=3050, unladen_kg=2000)
    assert not is_for_goods(seats=7, gvm_kg=2990, unladen_kg=2200)
    assert not is_for_goods(seats=5, gvm_kg=2680, unladen_kg=2000)  # 340 = 340
    assert is_for_goods(seats=5, gvm_kg=2681, unladen_kg=2000)


@given(st.integers(1, 23), st.integers(1000, 4000), st.integers(500, 3000))
def test_one_seat_more_never_turns_people_into_goods(number, gvm_kg, unladen_kg):
    before = is_for_goods(seats=number, gvm_kg=gvm_kg, unladen_kg=unladen_kg)
    assert before or not is_for_goods(seats=number + 1, gvm_kg=gvm_kg, unladen_kg=unladen_kg)


def test_limits_of_mass_belong_to_the_lower_category():
    # Source: ADR definitions (from memory): NA to 3.5 t, NB1 to 4.5 t, NB2 to 12 t.
    assert [goods_category(gvm) for gvm in (3500, 3500.1, 4500, 4500.1)] == ["NA", "NB1", "NB1", "NB2"]
    # Source: NT bulletin V80: MD1 10 to 12 seats, MD2 over 12, to 3.5 t; above from memory.
    cases = ((3500, 10), (3500, 12), (3500, 13), (3501, 13), (4500, 13), (4501, 13), (5000, 13), (5001, 13))
    found = [bus_category(gvm_kg=gvm, seats=number) for gvm, number in cases]
    assert found == ["MD1", "MD1", "MD2", "MD3", "MD3", "MD4", "MD4", "ME"]
    with pytest.raises(CalculationError, match="seats: 9 is outside 10 to 24"):
        bus_category(gvm_kg=3000, seats=9)


@pytest.mark.parametrize("unladen", [float("nan"), float("inf"), -5, 10_901])
def test_an_unladen_mass_that_cannot_be_is_refused(unladen):
    with pytest.raises(CalculationError, match=f"unladen_kg: {unladen} is outside 200 to 10,900 kg"):
        is_for_goods(seats=5, gvm_kg=3050, unladen_kg=unladen)


@pytest.mark.parametrize(
    ("modifications", "vehicle", "code"),
    [
        ((), {}, "MC"),
        (({**GVM, "to_kg": 3600},), {}, "MC"),
        (({**GVM, "to_kg": 3500},), {"adr_category": "NA"}, "NA"),
        (({**GVM, "to_kg": 3501},), {"adr_category": "NA"}, "NB1"),
        (({**GVM, "to_kg": 4501},), {"adr_category": "NB1"}, "NB2"),
        ((seats(2),), {}, "NA"),  # 136 < 371
        ((seats(7),), {}, "MC"),
        ((seats(10),), {}, "MD1"),
        ((seats(13),), {}, "MD2"),
        ((seats(12), {**GVM, "to_kg": 4000}), {}, "MD3"),
        ((seats(2),), {"adr_category": "NA"}, "NA"),
        ((seats(6),), {"adr_category": "NA", "gvm_kg": 3100}, "NA"),  # 408 < 445
        ((seats(9),), {"adr_category": "NA"}, None),  # 612: a passenger vehicle, MA, MB or MC
        ((seats(11),), {"adr_category": "NA"}, "MD1"),
        ((seats(12),), {"adr_category": "MD2", "seats": 14}, "MD1"),
        ((seats(8),), {"adr_category": "MD2", "seats": 14}, None),
        ((seats(4),), {"fuel": None}, None),
        ((seats(9),), {"adr_category": "NA", "fuel": None}, None),
        ((seats(4),), {"gvm_kg": 2600}, "MC"),  # 272 against 196: still for people
        (({"kind": "seating_change"},), {}, None),
        (({"kind": "gvm_upgrade"},), {"adr_category": "NA"}, None),
        (({"kind": "body_change", "to_category": "NA"},), {}, "NA"),
        (({"kind": "body_change"},), {}, None),
        (({"kind": "body_change"},), {"seats": 7}, "MC"),  # 476 against 371
        (({"kind": "body_change"}, seats(10)), {"seats": 7}, "MD1"),
        (({"kind": "body_change"},), {"adr_category": "NA"}, "NA"),
        (({"kind": "body_change"},), {"adr_category": "NA", "fuel": None}, None),
        (({"kind": "body_change"},), {"adr_category": "MD1", "seats": 10}, None),
        ((), {"adr_category": None}, None),
    ],
)
def test_the_resulting_category(modifications, vehicle, code):
    modifications = modifications or ({"kind": "brake_change"},)
    category = done(*modifications, **vehicle).category
    assert category.code == code
    assert category.reasons
    assert (code is None) == bool(category.undecided)


def test_consequences_follow_the_resulting_category():
    work_up = done(seats(2))
    assert work_up.speeds.target_kmh == 100
    assert work_up.masses.tm2_kg == 2950
    texts = " ".join(reason["text"] for reason in work_up.as_dict()["category"]["reasons"])
    assert "NA instead of MC" in texts
    assert "2 seats × 68 kg = 136.0 kg is less than half of GVM 2,950 kg" in texts


def test_a_gvm_upgrade_of_a_passenger_vehicle_is_kept_with_a_caution():
    assert any("is kept: confirm it" in text for text in done({**GVM, "to_kg": 3300}).cautions)
    assert not any("is kept" in text for text in done({**GVM, "to_kg": 3000}, seats=9).cautions)


@pytest.mark.parametrize(
    ("vehicle", "caution"),
    [
        ({"adr_category": "NA", "gvm_kg": 4000}, "NA does not go with a GVM of 4,000 kg, which makes it NB1"),
        ({"seats": 12}, "MC has at most 9 seats, this vehicle 12"),
        ({"adr_category": "MD1", "seats": 14}, "which make it MD2"),
        ({"adr_category": "MD1"}, "which make it no bus"),
    ],
)
def test_a_category_that_does_not_fit_is_told(vehicle, caution):
    assert any(caution in text for text in done({"kind": "brake_change"}, **vehicle).cautions)


def test_without_a_gvm_nothing_is_told_about_fit():
    assert done({"kind": "brake_change"}, adr_category="NA", gvm_kg=None).category.cautions == ()
