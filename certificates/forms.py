from django import forms

from certificates.outcomes import DECLARATION
from vehicles.layout import set_out


class IssueForm(forms.Form):
    """The signatory's declaration. Nothing is signed by pressing a button alone."""

    declared = forms.BooleanField(
        label=DECLARATION,
        error_messages={"required": "Tick the declaration: without it nothing is signed."},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self, ("Declaration of the signatory", ["declared"]))


def _day(label):
    return forms.DateField(
        label=label,
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": f"{label}: this is no date. Allowed: a day such as 2026-03-04."},
    )


class RegisterSearchForm(forms.Form):
    """What the register is searched by; all of it stands in the address."""

    q = forms.CharField(label="Number, plate, VIN or owner", required=False, max_length=100)
    issued_from = _day("Issued from")
    issued_to = _day("Issued to")

    def clean(self):
        cleaned = super().clean()
        start, end = cleaned.get("issued_from"), cleaned.get("issued_to")
        if start and end and start > end:
            self.add_error("issued_to", f"The last day is before the first, {start:%d/%m/%Y}.")
        return cleaned

    def add_prefix(self, name):
        # In the address they are called q, from and to; `from` cannot be the name of a field in Python.
        return name.removeprefix("issued_")
