from django import forms

from certificates.audits import GRADES
from certificates.later_forms import mark
from vehicles.layout import set_out

MOST = 200


class DrawForm(forms.Form):
    """How many certificates are drawn from what was searched for."""

    size = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=MOST,
        initial=10,
        error_messages={"invalid": f"How many: this is no whole number. Allowed: 1 to {MOST}."},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class FindingForm(forms.Form):
    grade = forms.ChoiceField(label="How grave", choices=GRADES, widget=forms.RadioSelect)
    text = forms.CharField(
        label="What was found", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}), help_text="And where."
    )
    sent_as = mark()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class FollowUpForm(forms.Form):
    text = forms.CharField(label="What was done", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))
    closes = forms.BooleanField(label="This settles the finding", required=False)
    sent_as = mark()

    def __init__(self, *args, may_settle, **kwargs):
        super().__init__(*args, **kwargs)
        if not may_settle:
            del self.fields["closes"]
        set_out(self)
