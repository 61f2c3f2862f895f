"""The forms of instruments and ballast."""

from dataclasses import replace

from django import forms

from testing.models import BallastStock, Instrument
from testing.scheduling.gear_models import ABOARD
from testing.scheduling.inputs import DayField
from vehicles import uploads
from vehicles.calculations import ballast
from vehicles.fields import QuantityField
from vehicles.layout import set_out

PIECE = replace(ballast.PIECE, name="piece_kg")
PIECES = replace(ballast.COUNT, name="pieces")


class InstrumentForm(forms.ModelForm):
    """An instrument and its calibration certificate, with the paper itself where there is one."""

    calibrated_on = DayField(label="Calibrated on", required=False)
    valid_to = DayField(label="Calibration holds until", required=False)
    mass_kg = QuantityField(
        row=replace(ABOARD, name="mass_kg"),
        label="Mass aboard the vehicle",
        required=False,
        help_text="What rides along in the runs: the test masses count it. Empty for what stays beside the course.",
    )
    upload = forms.FileField(
        label="The certificate",
        required=False,
        help_text=f"PDF or photo, at most {uploads.LARGEST_MB} MB. A new one takes the place of the old.",
    )

    class Meta:
        model = Instrument
        fields = ["kind", "name", "serial", "certificate", "calibrated_on", "valid_to", "mass_kg", "in_service"]
        help_texts = {
            "certificate": "Laboratory and number.",
            "in_service": "Take it out while it is damaged or away; a booking with it then says so.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_upload(self):
        upload = self.cleaned_data["upload"]
        if upload:
            try:
                self.document_type = uploads.recognise(upload, photo=False)
            except uploads.Refused as error:
                raise forms.ValidationError(str(error)) from error
        return upload

    def clean(self):
        cleaned = super().clean()
        first, last = cleaned.get("calibrated_on"), cleaned.get("valid_to")
        if first and last and last < first:
            self.add_error("valid_to", "The calibration ends before it was made.")
        return cleaned

    def save(self, commit=True):
        if upload := self.cleaned_data.get("upload"):
            self.instance.document, self.instance.document_type = upload, self.document_type
        return super().save(commit)


class BallastForm(forms.ModelForm):
    """Ballast of one kind."""

    piece_kg = QuantityField(row=PIECE, help_text="As weighed, not as printed on the bag.")
    pieces = QuantityField(row=PIECES)

    class Meta:
        model = BallastStock
        fields = ["name", "piece_kg", "pieces", "note"]
        help_texts = {"note": "Where it is kept, how it is lashed."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_pieces(self):
        return int(self.cleaned_data["pieces"])
