from django import forms

from vehicles.layout import set_out


class CameBackForm(forms.Form):
    reason = forms.CharField(
        label="What the returned mail says", max_length=300, help_text="For example: mailbox full, address unknown."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)
