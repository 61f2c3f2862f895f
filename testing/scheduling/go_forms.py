"""The forms of go or no-go."""

from django import forms

from testing.scheduling.habits import habits
from vehicles.layout import set_out


class NoteForm(forms.Form):
    """What was found about one item of the preparation."""

    key = forms.ChoiceField(label="Item", choices=[(item["key"], item["title"]) for item in habits()["preparation"]])
    # Nothing is in order because nobody said otherwise.
    verdict = forms.ChoiceField(
        label="Found", choices=[("", "choose"), ("met", "in order"), ("not_met", "not in order")]
    )
    evidence = forms.CharField(
        label="Evidence", max_length=200, help_text="What was measured or seen, by whom: 240 kPa all round, gauge 7."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class DecideForm(forms.Form):
    """The word of the engineer, and the reason where one is needed."""

    word = forms.ChoiceField(label="Decision", choices=[("", "choose"), ("go", "go"), ("no_go", "no go")])
    reason = forms.CharField(
        label="Reason",
        max_length=300,
        required=False,
        help_text="Needed for no go, and for a go with anything unknown or not met.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)
