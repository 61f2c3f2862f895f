"""Tyre sizes, diameters and ratings."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.errors import CalculationError, UnreadableError
from vehicles.calculations.tyres import LOAD_INDEX_KG, SPEED_SYMBOL_KMH, axle_capacity_kg, compare, read_tyre


@pytest.mark.parametrize(
    ("size", "exact_mm", "handbook_mm"),
    [
        # Source: D = 25.4 rim + 2 section × aspect; handbook by ETRTO rounding (UN R30), printed to 1 mm.
        ("195/65R15", 634.5, 635),
        ("205/55R16", 631.9, 632),
        ("225/45R17", 634.3, 634),
        ("265/65R17", 776.3, 776),
        ("265/70R16", 777.4, 778),
        ("285/70R17", 830.8, None),
    ],
)
def test_diameters(size, exact_mm, handbook_mm):
    tyre = read_tyre(size)
    assert tyre.diameter_mm == pytest.approx(exact_mm, abs=1e-9)
    if handbook_mm is not None:
        assert tyre.handbook_mm == handbook_mm


def test_light_truck_and_flotation_sizes():
    assert read_tyre("LT285/75R16 121/118S").load_index == 121
    assert read_tyre("225/70R15C 112/110R").speed_symbol == "R"
    flotation = read_tyre("33x12.50R15LT")
    # 33 in × 25.4 mm exactly; nominal, so no handbook value is known.
    assert (flotation.diameter_mm, flotation.section_mm, flotation.handbook_mm) == (838.2, 317.5, None)
    assert read_tyre("31X10.5R15LT 109Q").speed_kmh == 160


@pytest.mark.parametrize("size", ["", "abc", "265/65", "26/65R17", "265/65R99", "99x12.5R15", "265/5R17", "7.50R16"])
def test_what_cannot_be_read_is_refused_with_examples(size):
    with pytest.raises(UnreadableError, match=r"265/65R17.*33x12\.50R15LT"):
        read_tyre(size)


def test_load_index_and_speed_symbol_tables():
    # Source: ETRTO load index table: 75 is 387 kg, 100 is 800, 112 is 1120, 125 is 1650.
    assert {index: LOAD_INDEX_KG[index] for index in (75, 100, 112, 125)} == {75: 387, 100: 800, 112: 1120, 125: 1650}
    assert len(LOAD_INDEX_KG) == 51
    # Source: the table of speed symbols as several public lists print it; there is no O, Q stands for it.
    assert {symbol: SPEED_SYMBOL_KMH[symbol] for symbol in "JKLQSH"} == {
        "J": 100, "K": 110, "L": 120, "Q": 160, "S": 180, "H": 210,
    }  # fmt: skip
    masses = list(LOAD_INDEX_KG.values())
    assert masses == sorted(set(masses))


@pytest.mark.parametrize("symbol", "OIXZ")
def test_a_letter_that_is_no_speed_symbol_is_refused(symbol):
    with pytest.raises(UnreadableError):
        read_tyre(f"265/65R17 112{symbol}")


@pytest.mark.parametrize("symbol", SPEED_SYMBOL_KMH)
def test_every_speed_symbol_is_read(symbol):
    assert read_tyre(f"265/65R17 112{symbol}").speed_kmh == SPEED_SYMBOL_KMH[symbol]


def test_what_an_axle_may_carry():
    assert axle_capacity_kg(read_tyre("265/65R17 112S")) == 2240
    assert axle_capacity_kg(read_tyre("265/65R17 112S"), tyres_on_axle=4) == 4480
    assert axle_capacity_kg(read_tyre("265/65R17")) is None
    assert axle_capacity_kg(read_tyre("265/65R17 140S")) is None
    assert read_tyre("265/65R17").speed_kmh is None
    with pytest.raises(CalculationError, match="2 or 4"):
        axle_capacity_kg(read_tyre("265/65R17 112S"), tyres_on_axle=3)


def test_half_the_change_of_diameter_lifts():
    # Source: the worked example of the work-up: 776.3 and 830.8 mm give 27.25 mm.
    change = compare(before=read_tyre("265/65R17"), after=read_tyre("285/70R17"))
    assert (change.change_mm, change.rise_mm, change.handbook_rise_mm) == (54.5, 27.25, 28.0)
    assert change.change_percent == pytest.approx(7.0205, abs=5e-5)
    assert change.true_at_100_kmh == pytest.approx(107.0205, abs=5e-5)
    nominal = compare(before=read_tyre("265/65R17"), after=read_tyre("33x12.50R17LT"))
    assert nominal.handbook_rise_mm is None


SIZES = st.builds(
    "{}/{}R{}".format,
    st.integers(21, 63).map(lambda n: 5 * n),
    st.sampled_from([45, 55, 60, 65, 70, 75, 80]),
    st.integers(13, 20),
)


@given(SIZES, SIZES)
def test_a_change_and_its_reverse_cancel(one, other):
    first, second = read_tyre(one), read_tyre(other)
    there, back = compare(before=first, after=second), compare(before=second, after=first)
    assert there.rise_mm == pytest.approx(-back.rise_mm)
    assert there.true_at_100_kmh * back.true_at_100_kmh == pytest.approx(10_000)
    # Section height rounds by at most 0.5 mm on each side, the rim by at most 0.5 mm.
    assert abs(first.handbook_mm - first.diameter_mm) <= 1.5
