"""Lengths and masses as people type them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.calculations.errors import UnreadableError
from vehicles.calculations.units import parse_length_mm, parse_mass_kg


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # Source: international yard and pound agreement, 1959: 1 in = 25.4 mm, 1 ft = 304.8 mm exactly.
        ("2 in", 50.8),
        ('2"', 50.8),
        ("6 ft", 1828.8),
        ("6'", 1828.8),
        ("188.5cm", 1885.0),
        ("1.885 m", 1885.0),
        ("1,885", 1885.0),
        (" 50 MM ", 50.0),
        ("-30", -30.0),
    ],
)
def test_lengths(text, mm):
    assert parse_length_mm(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kg"),
    # Source: as above, 1 lb = 0.45359237 kg exactly.
    [("4850 lb", 2199.9229945), ("3.5 t", 3500.0), ("2950", 2950.0), ("500 g", 0.5), ("2,950.5 kg", 2950.5)],
)
def test_masses(text, kg):
    assert parse_mass_kg(text) == pytest.approx(kg, abs=1e-9)


@pytest.mark.parametrize(
    "text", ["", "mm", "1,5", "0,900", "1,88", "2 parsec", "2 in + 1 mm", "1e3", "nan", "__import__('os')"]
)
def test_what_is_no_length_is_refused_with_what_is_allowed(text):
    with pytest.raises(UnreadableError, match=r"allowed: a number such as .* mm, cm, m, in.* a point before decimals"):
        parse_length_mm(text)


def test_a_length_is_no_mass():
    with pytest.raises(UnreadableError, match=r"gvm_kg: '50 mm' cannot be read"):
        parse_mass_kg("50 mm", quantity="gvm_kg")


@given(st.integers(min_value=0, max_value=9_999_999))
def test_thousands_separators_change_nothing(number):
    assert parse_mass_kg(f"{number:,}") == parse_mass_kg(str(number)) == number
