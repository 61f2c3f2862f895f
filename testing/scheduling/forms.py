"""The forms about one job: its cover and its booking."""

from datetime import datetime

from django import forms

from testing.models import CrewMember, InsuranceCover, Site
from testing.scheduling.inputs import DayField, day_input, time_input
from testing.scheduling.local_times import TimeRefused, to_utc
from vehicles.layout import set_out

LARGEST_SUM_AUD = 5_000_000


class CoverForm(forms.ModelForm):
    """Insurance for the vehicle while it is tested."""

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
    """A morning: where, when, for how long, who drives."""

    site = forms.ModelChoiceField(Site.objects.all(), empty_label="choose a site")
    day = DayField(label="Date")
    start = forms.TimeField(label="Start", widget=time_input(), help_text="On the site's clock, full or half hour.")
    hours = forms.TypedChoiceField(
        choices=[(f"{half / 2:g}", f"{half / 2:g} h") for half in range(2, 25)],
        coerce=float,
        initial="4",
        help_text="Setting out, both masses, change of ballast and packing up.",
    )
    driver = forms.ModelChoiceField(
        CrewMember.objects.filter(drives=True), empty_label="choose a driver", help_text="Never the owner."
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
        return {name: self.cleaned_data[name] for name in ("site", "driver", "starts_at", "hours")}


class MoveForm(BookForm):
    """Another morning, and why the first one is given up."""

    reason = forms.CharField(label="Why it moves", max_length=150)


class CancelForm(forms.Form):
    """Why a booking is given up."""

    reason = forms.CharField(label="Why is it cancelled", max_length=150)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)
