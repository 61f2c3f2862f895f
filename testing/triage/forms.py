"""The forms of the triage: the engineer's word on lines, and the desk's what-if."""

from crispy_forms.layout import HTML
from django import forms
from django.utils.html import format_html, format_html_join
from django.utils.text import slugify

from testing.triage.decision import DECIDABLE
from testing.triage.words import need_words
from vehicles.calculations import ranges
from vehicles.fields import QuantityField
from vehicles.forms import clean_tyre
from vehicles.layout import set_out
from vehicles.plainly import plainly

DECISIONS = [(need, need_words(need)) for need in DECIDABLE]
LONGEST_REASON = 300


def _reason(**kwargs):
    return forms.CharField(max_length=LONGEST_REASON, widget=forms.Textarea(attrs={"rows": 2}), **kwargs)


class OverrideForm(forms.Form):
    """The engineer's word on one line."""

    need = forms.ChoiceField(label="Decision", choices=DECISIONS)
    reason = _reason(label="Reason", help_text="Stays on the record.")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class OpenLinesForm(forms.Form):
    """The engineer's word on every open line at once. What is complete can be kept while the rest is not."""

    common_reason = _reason(
        label="Reason for all",
        required=False,
        help_text="Counts for every line that is decided below without a reason of its own.",
    )

    def __init__(self, *args, lines, **kwargs):
        super().__init__(*args, **kwargs)
        self.lines = {slugify(line.code.replace("/", "-")): line for line in lines}
        sections = [("", ["common_reason"])]
        for key, line in self.lines.items():
            self.fields[f"need-{key}"] = forms.ChoiceField(
                label="Decision", choices=[("", "leave open"), *DECISIONS], required=False
            )
            self.fields[f"reason-{key}"] = _reason(label="Reason", required=False)
            shown = HTML(_why(line).replace("{", "&#123;"))
            sections.append((line.heading, [shown, f"need-{key}", f"reason-{key}"]))
        set_out(self, *sections)

    def clean(self):
        cleaned = super().clean()
        for key in self.lines:
            need, reason = cleaned.get(f"need-{key}"), cleaned.get(f"reason-{key}")
            if need and not reason and not cleaned.get("common_reason"):
                self.add_error(f"reason-{key}", "A decision needs its reason: here, or one for all above.")
            if reason and not need and f"need-{key}" not in self.errors:
                self.add_error(f"need-{key}", "Choose the decision that this reason is for.")
        return cleaned

    @property
    def complete(self):
        """(code, need, reason) of every line that is decided and explained, whatever the others lack."""
        found = []
        for key, line in self.lines.items():
            need, reason = (self.cleaned_data.get(f"{name}-{key}") for name in ("need", "reason"))
            reason = reason or self.cleaned_data.get("common_reason")
            if need and reason and not {f"need-{key}", f"reason-{key}"} & self.errors.keys():
                found.append((line.code, need, reason))
        return found


def _why(line):
    reasons = format_html_join("", "<li>{}</li>", ([reason["text"]] for reason in line.computed["reasons"]))
    asked = format_html_join(
        "", "<li><strong>To settle it: {}</strong></li>", ([text] for text in plainly(line.computed["undecided"]))
    )
    return format_html('<ul class="small">{}{}</ul>', reasons, asked)


class WhatIfForm(forms.Form):
    """Other parts than those on the vehicle. An empty field means: without it."""

    front_mm = QuantityField(row=ranges.MODIFICATION["front_mm"], label="Suspension lift, front", required=False)
    rear_mm = QuantityField(row=ranges.MODIFICATION["rear_mm"], label="Suspension lift, rear", required=False)
    lift_mm = QuantityField(row=ranges.MODIFICATION["lift_mm"], required=False)
    to = forms.CharField(label="Tyre size fitted", max_length=40, required=False)
    to_kg = QuantityField(row=ranges.MODIFICATION["to_kg"], required=False)
    seats = QuantityField(row=ranges.MODIFICATION["seats"], required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_to(self):
        return clean_tyre(self.cleaned_data["to"])
