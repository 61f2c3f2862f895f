"""The forms of the front desk."""

from django import forms

from jobs.models import Owner
from vehicles.forms import clean_identity
from vehicles.layout import set_out
from vehicles.models import PLATE_STATES, Vehicle


class OwnerForm(forms.ModelForm):
    """Whom to ring and where to write."""

    class Meta:
        model = Owner
        fields = ["name", "phone", "email"]
        labels = {"name": "Owner's name", "email": "E-mail"}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class OpenJobForm(OwnerForm):
    """The first page of booking in: enough to open a file while the owner is at the counter."""

    jurisdiction = forms.ChoiceField(
        label="Registered in", choices=PLATE_STATES, help_text="Whose rules apply to the certificate."
    )
    make = Vehicle._meta.get_field("make").formfield()
    model = Vehicle._meta.get_field("model").formfield()
    plate = forms.CharField(label="Plate", max_length=12, required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(
            self,
            ("Owner", ["name", "phone", "email"]),
            ("Vehicle", ["make", "model", "plate", "jurisdiction"]),
        )

    def clean_plate(self):
        plate = clean_identity(self.cleaned_data["plate"])
        if len(plate) > 10:
            raise forms.ValidationError(f"“{plate}” has {len(plate)} characters; a plate has at most 10.")
        return plate

    def clean(self):
        cleaned = super().clean()
        if not cleaned.get("phone") and not cleaned.get("email") and "email" not in self.errors:
            self.add_error("phone", "Enter a phone number or an e-mail: somebody has to be told the day.")
        return cleaned


class SendBackForm(forms.Form):
    """Why a job returns to an earlier step."""

    reason = forms.CharField(label="Why does it go back", max_length=150)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)
