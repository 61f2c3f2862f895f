"""Dates and times as the forms of the planner take them."""

from django import forms

from testing.scheduling.local_times import YEARS


def day_input():
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def time_input():
    return forms.TimeInput(attrs={"type": "time", "step": 900}, format="%H:%M")


class DayField(forms.DateField):
    """A day in a year that clocks are known for."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def clean(self, value):
        day = super().clean(value)
        if day is not None and day.year not in YEARS:
            raise forms.ValidationError(f"The year {day.year} is outside {YEARS[0]} to {YEARS[-1]}.")
        return day


class SeveralField(forms.ModelMultipleChoiceField):
    """Several of what there is, ticked."""

    widget = forms.CheckboxSelectMultiple

    def clean(self, value):
        try:
            return super().clean(value)
        except OverflowError as error:
            # No database holds a key of forty digits, and not every one says so kindly.
            raise forms.ValidationError("That is not one of the choices.") from error
