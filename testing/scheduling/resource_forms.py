"""The forms of what is planned with: sites and crew."""

from django import forms
from django.db.models import Q

from jobs.models import User
from testing.models import CrewMember, Site
from testing.scheduling.inputs import day_input, time_input
from vehicles.calculations.ranges import CREW, Range
from vehicles.fields import QuantityField
from vehicles.layout import set_out

LENGTH = Range(name="length_m", label="Usable length", low=50, high=10_000, unit="m")
WIDTH = Range(name="width_m", label="Usable width", low=3, high=1_000, unit="m")
# Lord Howe Island changes its clocks by half an hour: an hourly record cannot be kept across that.
ZONES = [
    f"Australia/{place}"
    for place in (
        "Sydney", "Melbourne", "Brisbane", "Adelaide", "Perth", "Hobart", "Darwin", "Broken_Hill", "Lindeman", "Eucla",
    )
]  # fmt: skip


class SiteForm(forms.ModelForm):
    """A site as it was measured."""

    time_zone = forms.ChoiceField(
        label="Time zone",
        choices=[(name, name.replace("_", " ")) for name in ZONES],
        help_text="Hours, forecasts and bookings of the site are entered and shown in it.",
    )
    length_m = QuantityField(row=LENGTH, help_text="From end to end, run-up and run-off counted in.")
    width_m = QuantityField(row=WIDTH, help_text="Free of posts, kerbs and drops.")
    level = forms.TypedChoiceField(
        label="Level in both directions",
        required=False,
        choices=[("", "not known yet"), ("yes", "yes"), ("no", "no")],
        coerce=lambda word: word == "yes",
        empty_value=None,
    )

    class Meta:
        model = Site
        fields = [
            "name", "place", "time_zone", "opens", "closes", "length_m", "width_m", "level", "surface", "hire_aud",
        ]  # fmt: skip
        labels = {"opens": "Open from", "closes": "Open until", "hire_aud": "Hire per booking (AUD)"}
        help_texts = {
            "closes": "Enter hours within daylight: nothing else here knows when it gets dark.",
            "surface": "Sealed or not, what it is made of, how it grips.",
        }
        widgets = {"opens": time_input(), "closes": time_input()}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if isinstance(self.instance.level, bool):
            self.initial["level"] = "yes" if self.instance.level else "no"
        self.fields["hire_aud"].min_value = 0
        set_out(
            self,
            ("Place", ["name", "place", "time_zone", "opens", "closes"]),
            ("Room", ["length_m", "width_m", "level", "surface"]),
            ("Price", ["hire_aud"]),
        )

    def clean_time_zone(self):
        zone = self.cleaned_data["time_zone"]
        if self.instance.pk and zone != self.instance.time_zone and self._in_use():
            raise forms.ValidationError(
                "Forecast or bookings were entered in %(zone)s already. Add the place as a new site instead.",
                params={"zone": self.instance.time_zone},
            )
        return zone

    def _in_use(self):
        return self.instance.forecast.exists() or self.instance.bookings.exists()

    def clean_hire_aud(self):
        price = self.cleaned_data["hire_aud"]
        if price is not None and price < 0:
            raise forms.ValidationError("A price is 0 or more.")
        return price

    def clean(self):
        cleaned = super().clean()
        opens, closes = cleaned.get("opens"), cleaned.get("closes")
        if opens and closes and opens >= closes:
            self.add_error("closes", f"{closes:%H:%M} is not after {opens:%H:%M}, when the site opens.")
        return cleaned


class CrewForm(forms.ModelForm):
    """Somebody of the crew. Who may drive needs evidence, and a date until which it holds."""

    mass_kg = QuantityField(
        row=CREW["driver_kg"],
        label="Mass, dressed for the test",
        required=False,
        help_text="With helmet and boots. The test masses count it.",
    )

    class Meta:
        model = CrewMember
        fields = ["name", "user", "drives", "skill_evidence", "evidence_valid_to", "mass_kg"]
        labels = {"user": "Account", "evidence_valid_to": "Evidence holds until"}
        help_texts = {"user": "The account with which they open their day sheets."}
        error_messages = {"user": {"unique": "This account belongs to another member of the crew already."}}
        widgets = {"evidence_valid_to": day_input()}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["user"].queryset = (
            User.objects.filter(Q(groups__name="driver", is_active=True) | Q(pk=self.instance.user_id))
            .distinct()
            .order_by("username")
        )
        self.fields["user"].empty_label = "none"
        self.fields["user"].label_from_instance = lambda user: f"{user.full_name} ({user.username})"
        set_out(self)

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("drives"):
            for name, missing in (
                ("skill_evidence", "Who may drive tests needs evidence of skill: what is it?"),
                ("evidence_valid_to", "Who may drive tests needs a date until which the evidence holds."),
            ):
                if not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, missing)
        return cleaned
