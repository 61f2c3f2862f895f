from django import forms

from testing.triage.models import NEEDS
from vehicles.layout import set_out

DECIDABLE = [(key, words) for key, words in NEEDS if key in ("required", "not_required", "not_applicable")]


class OverrideForm(forms.Form):
    """The engineer's word on one line."""

    need = forms.ChoiceField(label="Decision", choices=DECIDABLE)
    reason = forms.CharField(
        label="Reason", max_length=300, widget=forms.Textarea(attrs={"rows": 3}), help_text="Stays on the record."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)
