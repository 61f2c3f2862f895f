"""The forms that end in a signature."""

import json

from django import forms
from django.utils import timezone

from jobs import drafts
from testing.testday import rating
from testing.testday.models import MASSES
from testing.testday.procedure import lane_change, procedure
from vehicles.calculations.ranges import VEHICLE
from vehicles.fields import QuantityField
from vehicles.layout import set_out

_SAFE = [("yes", "Yes, it is safe to drive"), ("no", "No, it is not safe to drive")]
_SCALE = [("", "not rated"), *((str(value), f"{value}, {word}") for value, word in rating.WORDS.items())]
MOST_STROKES, MOST_POINTS = 60, 4000
# Neither offered from another signature nor filled in by the browser when the page is opened again.
_UNREMEMBERED = {"autocomplete": "off"}


def _name(**kwargs):
    widget = forms.TextInput(attrs=_UNREMEMBERED)
    return forms.CharField(label="Your name, typed", max_length=80, widget=widget, **kwargs)


class StrokesField(forms.CharField):
    """A signature drawn on the screen: strokes of [x, y], sent as JSON by the page. May stay empty."""

    def __init__(self):
        super().__init__(
            required=False, max_length=60_000, widget=forms.HiddenInput(attrs={"data-strokes": "", **_UNREMEMBERED})
        )

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return []
        try:
            strokes = json.loads(text)
            clean = [[[round(float(x), 1), round(float(y), 1)] for x, y in stroke] for stroke in strokes]
        except (ValueError, TypeError, RecursionError, OverflowError) as error:
            raise forms.ValidationError("The drawn signature cannot be read: draw it again.") from error
        points = [value for stroke in clean for point in stroke for value in point]
        if len(clean) > MOST_STROKES or len(points) > 2 * MOST_POINTS or not all(0 <= v <= 1000 for v in points):
            raise forms.ValidationError("The drawn signature is too large: draw it again.")
        return clean


def _rated(form, prefix, aspects, legend):
    """Fields for rating the aspects; returns the part of the layout."""
    names = []
    for aspect in aspects:
        name = f"{prefix}_{aspect.key}"
        form.fields[name] = forms.TypedChoiceField(
            label=aspect.text, required=False, choices=_SCALE, coerce=int, empty_value=None
        )
        names.append(name)
    form.fields[f"{prefix}_remark"] = forms.CharField(
        label="Remark on the handling", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )
    return legend, [*names, f"{prefix}_remark"]


def _ratings(cleaned, prefix, aspects):
    given = {aspect.key: cleaned.get(f"{prefix}_{aspect.key}") for aspect in aspects}
    given["remark"] = cleaned.get(f"{prefix}_remark", "")
    return {key: value for key, value in given.items() if value not in (None, "")}


class WordMixin:
    """The one question that decides, as a yes or no, and the name under it. ``signs`` is who may sign.

    Word and signature are given together, at the moment of signing: none of it waits as a draft.
    """

    never_kept = drafts.never("safe", "signed_name", "strokes")
    signs = ""
    stranger = "is not who is signed in"
    no_needs_a_remark = "Say why not: the workshop has to mend it."

    def clean_safe(self):
        return self.cleaned_data["safe"] == "yes"

    def clean_signed_name(self):
        name = " ".join(self.cleaned_data["signed_name"].split())
        if name.casefold() != self.signs.casefold():
            raise forms.ValidationError(f"“{name}” {self.stranger}. Allowed: {self.signs}.")
        return name

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("safe") is False and cleaned.get("remark") == "" and "remark" not in self.errors:
            self.add_error("remark", self.no_needs_a_remark)
        return cleaned


class StatementForm(WordMixin, forms.Form):
    """The driver's statement: the handling at each mass, and the driver's word."""

    stranger = "is not the driver of this day"
    no_needs_a_remark = "Say what is not safe: the workshop has to mend it."

    def __init__(self, *args, driver, **kwargs):
        super().__init__(*args, **kwargs)
        self.signs = driver.name
        aspects = lane_change().aspects
        rated = [_rated(self, mass, aspects, f"Handling at {name}") for mass, name in MASSES]
        self.fields["safe"] = forms.ChoiceField(
            label="Is the vehicle safe to drive?", choices=_SAFE, widget=forms.RadioSelect
        )
        self.fields["remark"] = forms.CharField(
            label="Remark",
            required=False,
            max_length=500,
            widget=forms.Textarea(attrs={"rows": 3}),
            help_text="Needed when it is not safe.",
        )
        self.fields["signed_name"] = _name(
            help_text=f"As on the sheet: {driver.name}. This is your signature; drawing it as well is welcome.",
        )
        self.fields["strokes"] = StrokesField()
        set_out(self, *rated, ("Your word", ["safe", "remark", "signed_name", "strokes"]))

    def clean(self):
        cleaned = super().clean()
        cleaned["ratings"] = {mass: _ratings(cleaned, mass, lane_change().aspects) for mass, _ in MASSES}
        return cleaned

    def said(self):
        return {key: self.cleaned_data[key] for key in ("safe", "remark", "signed_name", "ratings", "strokes")}


class CountersignForm(WordMixin, forms.Form):
    """The signatory's word under the driver's."""

    safe = forms.ChoiceField(label="Is the vehicle safe to drive?", choices=_SAFE, widget=forms.RadioSelect)
    remark = forms.CharField(label="Remark", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 3}))
    signed_name = _name()
    strokes = StrokesField()

    def __init__(self, *args, signatory, **kwargs):
        super().__init__(*args, **kwargs)
        self.signs = signatory.full_name
        self.fields["signed_name"].help_text = f"{signatory.full_name}. This is your signature."
        set_out(self)


class DrivingReportForm(WordMixin, forms.Form):
    """The certifier's own drive."""

    driven_on = forms.DateField(label="Driven on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    conditions = forms.CharField(label="Roads, load and weather", max_length=300)
    front_kg = QuantityField(row=VEHICLE["front_axle_kg"], required=False, label="Front axle as driven")
    rear_kg = QuantityField(row=VEHICLE["rear_axle_kg"], required=False, label="Rear axle as driven")
    handling = forms.CharField(
        label="How it handled",
        max_length=3000,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="Steering, stability, braking, ride; loaded and empty.",
    )
    safe = forms.ChoiceField(label="Is the vehicle safe to drive?", choices=_SAFE, widget=forms.RadioSelect)

    signed_name = _name()
    strokes = StrokesField()

    def __init__(self, *args, job, signatory, **kwargs):
        super().__init__(*args, **kwargs)
        self.signs = signatory.full_name
        self.fields["signed_name"].help_text = f"{signatory.full_name}. This is your signature."
        self.opened_on = timezone.localdate(job.created_at)
        self.sheet = procedure("driving_report")
        self.fields["checks"] = forms.MultipleChoiceField(
            label="Looked at before driving",
            choices=[(item.key, item.text) for item in self.sheet.checks],
            widget=forms.CheckboxSelectMultiple,
        )
        rated = _rated(self, "drive", self.sheet.aspects, "Handling, rated")
        set_out(
            self,
            ("Before driving", ["checks"]),
            ("The drive", ["driven_on", "conditions", "front_kg", "rear_kg"]),
            rated,
            ("Your report", ["handling", "safe", "signed_name", "strokes"]),
        )

    def clean_driven_on(self):
        driven, today = self.cleaned_data["driven_on"], timezone.localdate()
        if not self.opened_on <= driven <= today:
            raise forms.ValidationError(
                f"{driven:%d/%m/%Y} is not usable. Allowed: from {self.opened_on:%d/%m/%Y}, when the file was opened, "
                f"to today, {today:%d/%m/%Y}."
            )
        return driven

    def clean_checks(self):
        missing = [item.text for item in self.sheet.checks if item.key not in self.cleaned_data["checks"]]
        if missing:
            raise forms.ValidationError(f"Not confirmed: {'; '.join(missing)}. Drive after all are met.")
        return self.cleaned_data["checks"]

    def clean(self):
        cleaned = super().clean()
        cleaned["ratings"] = _ratings(cleaned, "drive", self.sheet.aspects)
        if cleaned.get("safe"):
            for aspect, problem in rating.not_carried(cleaned["ratings"], self.sheet.aspects):
                self.add_error(f"drive_{aspect.key}", problem)
        return cleaned

    def said(self):
        cleaned = self.cleaned_data
        masses = {name: cleaned[name] for name in ("front_kg", "rear_kg") if cleaned.get(name) is not None}
        kept = ("driven_on", "conditions", "handling", "safe", "checks", "ratings", "signed_name", "strokes")
        return {**{name: cleaned[name] for name in kept}, "masses": masses}
