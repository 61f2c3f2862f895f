"""VIN, ABN and plate."""

import pytest

from vehicles.calculations.identity import check_abn, check_plate, check_vin, vin_check_digit


@pytest.mark.parametrize("vin", ["1G4AH59H45G118341", "1M8GDM9AXKP042788"])
def test_valid_samples(vin):
    # Source: samples of 49 CFR 565 as two public sources give them, check digits 4 and X.
    assert check_vin(vin) == check_vin(vin.lower()) and not check_vin(vin).warnings
    assert vin_check_digit(vin) == vin[8]


def test_a_wrong_check_digit_is_a_warning_never_a_refusal():
    checked = check_vin("6T1BE42K34X512345")
    assert checked.usable
    assert "check digit" in checked.warnings[0]


def test_structure_is_refused():
    # Source: ISO 3779: 17 characters without I, O and Q.
    assert check_vin("1M8GDM9AXKP04278").errors == ("16 characters; allowed: 17",)
    assert len(check_vin("IM8GDM9AXKP0427OQ").errors) == 3
    assert not check_vin("").usable


def test_abn():
    # Source: Australian Business Register, worked example 51 824 753 556; mod 89.
    assert check_abn(" 51 824 753 556 ").usable
    assert "check sum" in check_abn("11223493504").errors[0]
    assert "11 digits" in check_abn("5182475355").errors[0]


@pytest.mark.parametrize("place", range(11))
def test_every_single_wrong_digit_of_an_abn_is_found(place):
    digits = "51824753556"
    for digit in "0123456789":
        if digit != digits[place]:
            assert not check_abn(digits[:place] + digit + digits[place + 1 :]).usable


def test_plates():
    assert check_plate("abc-12d").text == check_plate("ABC 12D").text == "ABC12D"
    assert not check_plate("").usable
    assert not check_plate("ABCDEFGHIJ").usable
    assert not check_plate("AB#1").usable
