"""The forms of whoever keeps the rules."""

from datetime import date

from django import forms
from django.core import validators
from django.core.validators import RegexValidator

from testing.triage.drafting import HEAD
from vehicles.calculations.rule_bounds import COMPARISONS, QUANTITIES, SETTINGS, bounds_of
from vehicles.calculations.rule_layer import TAG, TAGS
from vehicles.layout import set_out

LARGEST_FILE = 1_000_000
RELATIONS = {None: "not compared", "more_than": "crossed by more than this", "at_least": "reached by this and more"}
DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def _tag():
    return forms.CharField(
        label="How sure",
        max_length=12,
        validators=[RegexValidator(rf"^({TAG.pattern})$", f"Allowed: {TAGS}.")],
        help_text=f"{TAGS}. What is neither pub nor 2+ shows as not yet checked.",
    )


def _text(label, longest, **kwargs):
    return forms.CharField(label=label, max_length=longest, widget=forms.Textarea(attrs={"rows": 2}), **kwargs)


class NumberForm(forms.Form):
    """One number of an edition with where it comes from."""

    value = forms.FloatField(label="Value")
    comparison = forms.ChoiceField(
        label="How it is compared", choices=[(each or "", RELATIONS[each]) for each in COMPARISONS], required=False
    )
    quantity = forms.ChoiceField(
        label="Limits which quantity",
        choices=[(each or "", (each or "none").replace("_", " ")) for each in QUANTITIES],
        required=False,
    )
    unit = forms.CharField(label="Unit", max_length=40, required=False)
    both_ways = forms.BooleanField(label="Holds for a change down as well as up", required=False)
    combined = forms.BooleanField(label="Holds only where suspension and tyres are both changed", required=False)
    source = _text("Source", 400)
    tag = _tag()
    note = _text("Note", 600, required=False)

    def __init__(self, *args, name, **kwargs):
        super().__init__(*args, **kwargs)
        if name in SETTINGS:
            choices = [(each, each.replace("_", " ")) for each in SETTINGS[name]]
            self.fields["value"] = forms.ChoiceField(label="Value", choices=choices)
        elif bounds := bounds_of(name):
            low, high = bounds
            value = self.fields["value"]
            value.help_text = f"Allowed: {low:,g} to {high:,g}."
            value.validators += [validators.MinValueValidator(low), validators.MaxValueValidator(high)]
        set_out(self)

    def entry(self):
        """As an edition holds it."""
        entry = {**self.cleaned_data}
        for name in ("comparison", "quantity"):
            entry[name] = entry[name] or None
        return {name: value for name, value in entry.items() if value not in (None, "") and value is not False}


class HeadForm(forms.Form):
    """What an edition says about itself."""

    title = forms.CharField(label="Title", max_length=200)
    source = _text("Source", 400)
    tag = _tag()
    note = _text("Note", 1000, required=False, help_text="What was not seen of the text belongs here.")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self, ("", list(HEAD)))


class PublishForm(forms.Form):
    """From when a draft holds, and by which name decisions will cite it."""

    key = forms.CharField(
        label="Name of the edition",
        max_length=40,
        validators=[RegexValidator(r"^[A-Za-z0-9][A-Za-z0-9.-]*\Z", "Letters, digits, dots, dashes: NSW-2026-07.")],
        help_text="Decisions cite it for good; no two editions share one.",
    )
    effective_from = forms.DateField(
        label="In force from", widget=DATE, help_text="Midnight in the jurisdiction; today or later."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_effective_from(self):
        day = self.cleaned_data["effective_from"]
        if day > date(day.today().year + 20, 12, 31):
            raise forms.ValidationError("More than twenty years ahead; check the year.")
        return day


class CheckForm(forms.Form):
    """A signatory's word that an edition was held against the current text."""

    on = forms.DateField(label="Checked on", widget=DATE)
    remark = forms.CharField(
        label="Held against", max_length=300, help_text="Title and date of the text that you had before you."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class BringInForm(forms.Form):
    """An edition as a file."""

    upload = forms.FileField(label="File", help_text="As exported from here, in JSON; at most 1 MB.")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_upload(self):
        upload = self.cleaned_data["upload"]
        if upload.size > LARGEST_FILE:
            raise forms.ValidationError(f"The file has {upload.size / 1e6:.1f} MB; at most 1 MB is taken.")
        return upload
