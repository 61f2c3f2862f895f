"""Numbers as people type them in a form."""

import pytest
from django import forms

from vehicles.calculations.ranges import VEHICLE, Range
from vehicles.fields import PercentField, QuantityField

WIND = Range(name="wind_mps", label="Wind", low=0, high=80, unit="m/s")
MONEY = Range(name="value_aud", label="Value", low=0, high=5_000_000, unit="AUD")
READ = {"0.9": 0.9, "12": 12, "12.": 12, ".5": 0.5, "1,885": 1885, "12,345.5": 12345.5, "1,234,567": 1234567}
REFUSED = ("0,9", "1,2", "1,88", "12,34", "1,8855", "0,900", ",5", "1,,885", "1,885,", "1 2", "١٢")


@pytest.mark.parametrize(("text", "value"), READ.items())
def test_a_comma_stands_between_thousands(text, value):
    assert QuantityField(row=MONEY).clean(text) == value


@pytest.mark.parametrize("text", REFUSED)
def test_any_other_comma_is_refused_with_the_value_and_the_point_to_write(text):
    with pytest.raises(forms.ValidationError) as said:
        QuantityField(row=WIND).clean(text)
    message = said.value.messages[0]
    assert f"“{text}” is not usable" in message
    assert "a point before decimals" in message
    assert message.endswith("0 to 80 m/s.")


def test_a_comma_in_a_mass_or_a_share_is_refused_in_the_same_words():
    for field in (QuantityField(row=VEHICLE["gvm_kg"]), PercentField(row=VEHICLE["fuel_level"])):
        with pytest.raises(forms.ValidationError, match=r"“40,5” is not usable.*a point before decimals"):
            field.clean("40,5")


def test_a_share_out_of_range_is_told_its_range_alone():
    with pytest.raises(forms.ValidationError) as said:
        PercentField(row=VEHICLE["fuel_level"]).clean("140")
    assert said.value.messages == ["“140” is not usable. Allowed: 0 to 100 %."]
