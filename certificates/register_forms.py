from django import forms

from certificates import outcomes
from certificates.models.line import STATES
from vehicles.models import PLATE_STATES


def _day(label):
    return forms.DateField(
        label=label,
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": f"{label}: this is no date. Allowed: a day such as 2026-03-04."},
    )


def _text(label):
    return forms.CharField(label=label, required=False, max_length=100)


def _number(label, high):
    return forms.FloatField(
        label=label,
        required=False,
        min_value=0,
        max_value=high,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={"invalid": f"{label}: this is no number. Allowed: 0 to {high}."},
    )


def _choice(label, choices):
    return forms.ChoiceField(
        label=label,
        required=False,
        choices=[("", "any"), *choices],
        error_messages={"invalid_choice": f"{label}: “%(value)s” is none of those that can be chosen."},
    )


class RegisterSearchForm(forms.Form):
    """What the register is searched by; all of it stands in the address."""

    q = _text("Number, plate, VIN or owner")
    issued_from = _day("Issued from")
    issued_to = _day("Issued to")
    number = _text("Number, its beginning or year and count")
    plate = _text("Plate, or its beginning")
    vin = _text("VIN, or any part of four or more")
    owner = _text("Owner")
    engineer = _text("Engineer, name or authority number")
    modification = _text("Modification kind or code")
    jurisdiction = _choice("Rules of", PLATE_STATES)
    outcome = _choice("Outcome", [(one.code, one.title) for one in outcomes.ALL])
    state = _choice("State", STATES)
    wind_from = _number("Wind from, m/s", 50)
    wind_to = _number("Wind to, m/s", 50)
    speed_from = _number("Target speed from, km/h", 300)
    speed_to = _number("Target speed to, km/h", 300)

    ALWAYS = ("q", "issued_from", "issued_to")

    def clean(self):
        cleaned = super().clean()
        start, end = cleaned.get("issued_from"), cleaned.get("issued_to")
        if start and end and start > end:
            self.add_error("issued_to", f"The last day is before the first, {start:%d/%m/%Y}.")
        for name, unit in (("wind", "m/s"), ("speed", "km/h")):
            low, high = cleaned.get(f"{name}_from"), cleaned.get(f"{name}_to")
            if low is not None and high is not None and low > high:
                self.add_error(f"{name}_to", f"The upper end is below the lower, {low:g} {unit}.")
        return cleaned

    def add_prefix(self, name):
        # In the address they are called q, from and to; `from` cannot be the name of a field in Python.
        return name.removeprefix("issued_")

    @property
    def main(self):
        return [self[name] for name in self.ALWAYS]

    @property
    def further(self):
        return [field for field in self if field.name not in self.ALWAYS]

    @property
    def asked(self):
        """What was asked for, as it stands in the address."""
        names = [self.add_prefix(name) for name in self.fields]
        return {name: self.data[name] for name in names if self.data.get(name)}

    @property
    def asked_further(self):
        return bool(set(self.asked) - {"q", "from", "to"})
