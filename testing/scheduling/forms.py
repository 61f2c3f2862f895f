"""The forms about one job: its cover and its booking."""

from datetime import datetime

from django import forms

from testing.models import CrewMember, Instrument, InsuranceCover, Site
from testing.scheduling.booking_models import CAUSES
from testing.scheduling.habits import habits
from testing.scheduling.inputs import DayField, SeveralField, day_input, time_input
from testing.scheduling.local_times import TimeRefused, to_utc
from vehicles import uploads
from vehicles.layout import set_out

LARGEST_SUM_AUD = 5_000_000


class CoverForm(forms.ModelForm):
    """Insurance for the vehicle while it is tested."""

    document = forms.FileField(
        label="The document",
        required=False,
        help_text=f"PDF or photo, at most {uploads.LARGEST_MB} MB; it is kept with the papers of the job.",
    )

    class Meta:
        model = InsuranceCover
        fields = ["arranged_by", "reference", "sum_aud", "valid_from", "valid_to"]
        labels = {
            "arranged_by": "Arranged by",
            "sum_aud": "Sum insured (AUD)",
            "valid_from": "Valid from",
            "valid_to": "Valid until",
        }
        help_texts = {
            "sum_aud": "Has to reach the market value; modifications do not count into it.",
            "valid_to": "The last day on which it holds.",
        }
        widgets = {"valid_from": day_input(), "valid_to": day_input()}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_document(self):
        upload = self.cleaned_data["document"]
        if upload:
            try:
                self.content_type = uploads.recognise(upload, photo=False)
            except uploads.Refused as error:
                raise forms.ValidationError(str(error)) from error
        return upload

    def clean_sum_aud(self):
        amount = self.cleaned_data["sum_aud"]
        if not 0 < amount <= LARGEST_SUM_AUD:
            raise forms.ValidationError(f"Allowed: more than 0, at most {LARGEST_SUM_AUD:,} AUD.")
        return amount

    def clean(self):
        cleaned = super().clean()
        first, last = cleaned.get("valid_from"), cleaned.get("valid_to")
        if first and last and last < first:
            self.add_error("valid_to", "The cover ends before it begins.")
        return cleaned


class BookForm(forms.Form):
    """A morning: where, when, for how long, who drives and observes, with which instruments."""

    site = forms.ModelChoiceField(Site.objects.all(), empty_label="choose a site")
    day = DayField(label="Date")
    start = forms.TimeField(label="Start", widget=time_input(), help_text="On the site's clock, on the quarter hour.")
    hours = forms.TypedChoiceField(
        choices=[(f"{quarter / 4:g}", f"{quarter / 4:g} h") for quarter in range(4, 49)],
        coerce=float,
        initial="4",
        help_text="Setting out, both masses, change of ballast and packing up.",
    )
    driver = forms.ModelChoiceField(
        CrewMember.objects.filter(drives=True), empty_label="choose a driver", help_text="Never the owner."
    )
    observers = SeveralField(
        CrewMember.objects.filter(observes=True),
        required=False,
        help_text="They count cones and watch wind and surface.",
    )
    instruments = SeveralField(Instrument.objects.filter(in_service=True), required=False)
    hold = forms.TypedChoiceField(
        label="Book or hold",
        required=False,
        choices=[("", "book it"), ("hold", f"hold it for {habits()['hold_h']} h, to be confirmed")],
        coerce=lambda word: habits()["hold_h"] if word == "hold" else None,
        empty_value=None,
        help_text="A hold takes the time, and gives it back by itself when nobody confirms.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean(self):
        cleaned = super().clean()
        site, day, start = (cleaned.get(name) for name in ("site", "day", "start"))
        if site and day and start:
            try:
                cleaned["starts_at"] = to_utc(datetime.combine(day, start), site.zone)
            except TimeRefused as error:
                self.add_error("start", f"{error}.")
        return cleaned

    def wanted(self):
        """What the services take."""
        names = ("site", "driver", "starts_at", "hours", "observers", "instruments")
        return {name: self.cleaned_data[name] for name in names} | {"hold_h": self.cleaned_data["hold"]}


class GivenUpForm(forms.Form):
    """What a booking is given up for, and whether that costs a part of the price once more."""

    cause = forms.ChoiceField(
        label="Given up for", choices=[("", "Choose"), *CAUSES], help_text="The overview counts by it."
    )

    paid_again = forms.BooleanField(
        label="A part of the price is paid again",
        required=False,
        initial=True,
        help_text="As the price book says for a morning that is called off. It goes into the estimate.",
    )


class MoveForm(BookForm, GivenUpForm):
    """Another morning, and why the first one is given up."""

    reason = forms.CharField(label="Why it moves", max_length=150)
    field_order = [
        "site", "day", "start", "hours", "driver", "observers", "instruments", "hold", "cause", "reason", "paid_again",
    ]  # fmt: skip


class CancelForm(GivenUpForm):
    """Why a booking is given up."""

    reason = forms.CharField(label="Why is it cancelled", max_length=150)
    field_order = ["cause", "reason", "paid_again"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)
