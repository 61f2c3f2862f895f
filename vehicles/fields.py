"""Form fields that take a measurement as people type it: `2 in`, `4850 lb`, `1,885`."""

import re

from django import forms

from vehicles.calculations import units
from vehicles.calculations.errors import CalculationError

_PARSERS = {"mm": units.parse_length_mm, "kg": units.parse_mass_kg}
# A comma stands between thousands and nowhere else: 0,9 could mean 0.9 as well as 9, so it is refused.
# config/static/day-sheet-ahead.js reads by the same pattern.
_PLAIN = re.compile(r"[-+]?(?:(?:[1-9]\d{0,2}(?:,\d{3})+|\d+)(?:\.\d*)?|\.\d+)", re.ASCII)
_WRITTEN = "plain numbers such as 87 or 12.5, a point before decimals, a comma between thousands only"


def _number(text):
    if not _PLAIN.fullmatch(text):
        raise CalculationError(quantity="number", value=repr(text), allowed=_WRITTEN)
    return float(text.replace(",", ""))


class QuantityField(forms.CharField):
    """A quantity of `vehicles.calculations.ranges`, typed with or without a unit.

    Cleans to a float in the unit of the range, or None when left empty.
    """

    def __init__(self, *, row, **kwargs):
        kwargs.setdefault("label", row.label)
        kwargs.setdefault("max_length", 40)
        super().__init__(**kwargs)
        self.row = row
        self.unit = row.unit
        self.widget.attrs |= {
            "inputmode": "text" if row.unit in _PARSERS else "decimal",
            "autocomplete": "off",
        }

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        try:
            return self.row.check(_PARSERS.get(self.row.unit, _number)(text))
        except CalculationError as error:
            raise forms.ValidationError(
                "“%(value)s” is not usable. Allowed: %(allowed)s.",
                params={"value": text, "allowed": self._allowed(error)},
            ) from error

    def _allowed(self, error):
        return error.allowed if error.quantity == self.row.name else f"{error.allowed}; {self.row}"

    def prepare_value(self, value):
        return value if value is None or isinstance(value, str) else f"{value:.10g}"

    def has_changed(self, initial, data):
        try:
            return self.clean(data) != initial
        except forms.ValidationError:
            return True


class PercentField(QuantityField):
    """A share between 0 and 1, typed in per cent."""

    def __init__(self, *, row, **kwargs):
        super().__init__(row=row, **kwargs)
        self.unit = "%"

    def clean(self, value):
        text = (value or "").strip().removesuffix("%").strip()
        if not text:
            return None
        try:
            return self.row.check(_number(text) / 100)
        except CalculationError as error:
            raise forms.ValidationError(
                "“%(value)s” is not usable. Allowed: %(written)s0 to 100 %%.",
                params={"value": value, "written": "" if error.quantity == self.row.name else f"{_WRITTEN}; "},
            ) from error

    def prepare_value(self, value):
        return value if value is None or isinstance(value, str) else f"{value * 100:.10g}"
