"""The forms of the day: few fields, each as large as a gloved thumb."""

from django import forms
from django.utils import timezone

from testing.testday.ladder import open_speeds
from testing.testday.models import MASSES, Run
from vehicles.calculations.ranges import Range
from vehicles.fields import QuantityField
from vehicles.layout import set_out

MEASURED = Range(name="measured_kmh", label="Speed measured at entry", low=0, high=200, unit="km/h")
WIND = Range(name="wind_mps", label="Wind now", low=0, high=60, unit="m/s")
CONES = 18
_SAFE = [("yes", "Yes, it is safe to drive"), ("no", "No, it is not safe to drive")]


def _choice(field, **kwargs):
    choices = Run._meta.get_field(field).choices
    return forms.ChoiceField(choices=choices, widget=forms.RadioSelect, **kwargs)


class RunForm(forms.Form):
    """One pass through the course."""

    mass = forms.ChoiceField(label="Loaded to", choices=MASSES, widget=forms.RadioSelect)
    aimed_kmh = forms.TypedChoiceField(label="Speed aimed at", coerce=int)
    wind_mps = QuantityField(row=WIND, required=False)
    surface = _choice("surface", label="Surface")
    outcome = _choice("outcome", label="Result")
    cones_moved = forms.IntegerField(
        label="Cones moved",
        required=False,
        min_value=0,
        max_value=CONES,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    measured_kmh = QuantityField(
        row=MEASURED, required=False, help_text="By GPS. Without it, or below the speed aimed at, no speed opens."
    )
    remark = forms.CharField(label="Remark", required=False, max_length=300, widget=forms.Textarea(attrs={"rows": 2}))
    sent_as = forms.UUIDField(
        widget=forms.HiddenInput,
        error_messages={"required": "Reload the day sheet.", "invalid": "Reload the day sheet."},
    )

    def __init__(self, *args, day, progress, only=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.open = {step.mass: open_speeds(day, step) for step in progress}
        speeds = self.open[only] if only else {speed for open_now in self.open.values() for speed in open_now}
        field = self.fields["aimed_kmh"]
        field.choices = [(speed, f"{speed} km/h") for speed in sorted(speeds, reverse=True)]
        field.error_messages["invalid_choice"] = f"%(value)s km/h is not open. Allowed: {self._listed(speeds)}."
        limit = day.work_up["limits"]["wind_mps"]
        self.fields["wind_mps"].help_text = f"Above {limit:g} m/s or not measured: recorded, but it does not count."
        self.fields["surface"].help_text = "Only a run on a dry surface counts."
        set_out(
            self,
            ("Before the run", ["mass", "aimed_kmh", "wind_mps", "surface"]),
            ("The run", ["outcome", "cones_moved", "measured_kmh", "remark", "sent_as"]),
        )

    @staticmethod
    def _listed(speeds):
        return ", ".join(f"{speed}" for speed in sorted(speeds, reverse=True)) + " km/h" if speeds else "no speed now"

    def clean(self):
        cleaned = super().clean()
        mass, aimed = cleaned.get("mass"), cleaned.get("aimed_kmh")
        if mass and aimed and aimed not in self.open[mass]:
            self.add_error(
                "aimed_kmh",
                f"{aimed} km/h is not open at {dict(MASSES)[mass]}. Allowed: {self._listed(self.open[mass])}.",
            )
        self._check_cones(cleaned)
        return cleaned

    def _check_cones(self, cleaned):
        if "cones_moved" not in cleaned or "outcome" not in cleaned:
            return
        cones = cleaned["cones_moved"] = cleaned["cones_moved"] or 0
        if cleaned["outcome"] == "cones" and not cones:
            self.add_error("cones_moved", f"How many cones were moved? Allowed: 1 to {CONES}.")
        if cleaned["outcome"] != "cones" and cones:
            self.add_error(
                "cones_moved", "A run that moved a cone has the result “cones moved”; else leave this empty."
            )


class ReasonForm(forms.Form):
    """Why: asked where something that was written is struck out, or a stop is lifted."""

    def __init__(self, *args, longest, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"] = forms.CharField(
            label="Reason",
            max_length=longest,
            widget=forms.Textarea(attrs={"rows": 3}),
            help_text="Stays on the record.",
        )
        set_out(self)


class StatementForm(forms.Form):
    """The driver's word."""

    safe = forms.ChoiceField(label="Is the vehicle safe to drive?", choices=_SAFE, widget=forms.RadioSelect)
    remark = forms.CharField(
        label="Remark",
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="How it handled at each mass. Needed when it is not safe.",
    )
    signed_name = forms.CharField(label="Your name, typed", max_length=80)

    def __init__(self, *args, driver, **kwargs):
        super().__init__(*args, **kwargs)
        self.driver = driver
        self.fields["signed_name"].help_text = f"As on the sheet: {driver.name}. This is your signature."
        set_out(self)

    def clean_safe(self):
        return self.cleaned_data["safe"] == "yes"

    def clean_signed_name(self):
        name = " ".join(self.cleaned_data["signed_name"].split())
        if name.casefold() != self.driver.name.casefold():
            raise forms.ValidationError(f"“{name}” is not the driver of this day. Allowed: {self.driver.name}.")
        return name

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("safe") is False and not cleaned.get("remark") and "remark" not in self.errors:
            self.add_error("remark", "Say what is not safe: the workshop has to mend it.")
        return cleaned


class DrivingReportForm(forms.Form):
    """The certifier's own drive."""

    driven_on = forms.DateField(label="Driven on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    conditions = forms.CharField(label="Roads, load and weather", max_length=300)
    handling = forms.CharField(
        label="How it handled",
        max_length=3000,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="Steering, stability, braking, ride; loaded and empty.",
    )
    safe = forms.ChoiceField(label="Is the vehicle safe to drive?", choices=_SAFE, widget=forms.RadioSelect)

    def __init__(self, *args, job, **kwargs):
        super().__init__(*args, **kwargs)
        self.opened_on = timezone.localdate(job.created_at)
        set_out(self)

    def clean_safe(self):
        return self.cleaned_data["safe"] == "yes"

    def clean_driven_on(self):
        driven, today = self.cleaned_data["driven_on"], timezone.localdate()
        if not self.opened_on <= driven <= today:
            raise forms.ValidationError(
                f"{driven:%d/%m/%Y} is not usable. Allowed: from {self.opened_on:%d/%m/%Y}, when the file was opened, "
                f"to today, {today:%d/%m/%Y}."
            )
        return driven
