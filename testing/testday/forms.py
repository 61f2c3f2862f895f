"""The forms of the day: few fields, each as large as a gloved thumb."""

from django import forms

from testing.testday import limits
from testing.testday.ladder import SLOWER_BY_KMH, open_speeds
from testing.testday.models import MASSES, Run
from vehicles.calculations.ranges import Range
from vehicles.fields import QuantityField
from vehicles.layout import set_out

MEASURED = Range(name="measured_kmh", label="Speed measured at entry", low=0, high=200, unit="km/h")
WIND = Range(name="wind_mps", label="Wind now", low=0, high=60, unit="m/s")
GUST = Range(name="gust_mps", label="Strongest gust", low=0, high=80, unit="m/s")
ROLL = Range(name="roll_deg", label="Largest roll by the tilt meter", low=0, high=60, unit="°")
CONES = 18
NUMBERS = [(str(number), str(number)) for number in range(1, CONES + 1)]


def _choice(field, **kwargs):
    choices = Run._meta.get_field(field).choices
    return forms.ChoiceField(choices=choices, widget=forms.RadioSelect, **kwargs)


class RunForm(forms.Form):
    """One pass through the course. Without ``progress`` any speed of the ladder is taken: it was driven already."""

    mass = forms.ChoiceField(label="Loaded to", choices=MASSES, widget=forms.RadioSelect)
    aimed_kmh = forms.TypedChoiceField(label="Speed aimed at", coerce=int)
    wind_mps = QuantityField(row=WIND, required=False)
    gust_mps = QuantityField(row=GUST, required=False)
    surface = _choice("surface", label="Surface")
    outcome = _choice("outcome", label="Result")
    cones = forms.MultipleChoiceField(
        label="Which cones", required=False, choices=NUMBERS, widget=forms.CheckboxSelectMultiple
    )
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
    roll_deg = QuantityField(row=ROLL, required=False)
    wheel_lift = forms.BooleanField(label="A wheel lifted", required=False)
    driver_stops = forms.BooleanField(label="The driver does not want to go on", required=False)
    remark = forms.CharField(
        label="Remark",
        required=False,
        max_length=300,
        help_text="Typed, or spoken with the microphone of the keyboard.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    sent_as = forms.UUIDField(
        widget=forms.HiddenInput,
        error_messages={"required": "Reload the day sheet.", "invalid": "Reload the day sheet."},
    )
    device = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)

    def __init__(self, *args, day, progress=None, only=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.day = day
        if progress is None:
            rungs = day.work_up["speeds"]["ladder_kmh"]
            # A failed speed below the ladder is repeated at the nearest 5 km/h.
            every = {*rungs, *(rungs[0] - less for less in SLOWER_BY_KMH), *range(5, rungs[0], 5)}
            self.open = {mass: every for mass, _ in MASSES}
        else:
            self.open = {step.mass: open_speeds(day, step) for step in progress}
        speeds = self.open[only] if only else {speed for open_now in self.open.values() for speed in open_now}
        field = self.fields["aimed_kmh"]
        field.choices = [(speed, f"{speed} km/h") for speed in sorted(speeds, reverse=True)]
        field.error_messages["invalid_choice"] = f"%(value)s km/h is not open. Allowed: {self._listed(speeds)}."
        self._explain()
        set_out(
            self,
            ("Before the run", ["mass", "aimed_kmh", "wind_mps", "gust_mps", "surface"]),
            ("The run", ["outcome", "cones", "cones_moved", "measured_kmh"]),
            ("The vehicle", ["roll_deg", "wheel_lift", "driver_stops", "remark", "sent_as", "device"]),
        )

    def _explain(self):
        wind, gust = limits.wind_mps(self.day), limits.gust_mps(self.day)
        self.fields["wind_mps"].help_text = f"Above {wind:g} m/s or not measured: recorded, but it does not count."
        self.fields["gust_mps"].help_text = f"Above {gust:g} m/s: recorded, but it does not count."
        self.fields["surface"].help_text = "Only a run on a dry surface counts."
        self.fields["cones"].help_text = "By number, as on the drawing."
        roll = limits.roll_deg(self.day)
        self.fields["roll_deg"].help_text = f"Beyond {roll:g}° the climb stops until the engineer decides."

    @staticmethod
    def _listed(speeds):
        return ", ".join(f"{speed}" for speed in sorted(speeds, reverse=True)) + " km/h" if speeds else "no speed now"

    def clean_cones(self):
        return sorted(int(number) for number in self.cleaned_data["cones"])

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
        if not {"cones_moved", "outcome", "cones"} <= cleaned.keys():
            return
        named = len(cleaned["cones"])
        typed = cleaned["cones_moved"]
        cones = cleaned["cones_moved"] = typed or named
        if named and typed and typed != named:
            self.add_error("cones_moved", f"{named} cones are named above, {typed} written here. Allowed: the same.")
        elif cleaned["outcome"] == "cones" and not cones:
            self.add_error("cones_moved", f"How many cones were moved? Allowed: 1 to {CONES}.")
        elif cleaned["outcome"] != "cones" and cones:
            self.add_error(
                "cones_moved", "A run that moved a cone has the result “cones moved”; else leave this empty."
            )


class CorrectionForm(RunForm):
    """A run written down anew. The mass stays: a run at the other mass is struck out and entered again."""

    reason = forms.CharField(
        label="Reason", max_length=200, widget=forms.Textarea(attrs={"rows": 2}), help_text="Stays on the record."
    )

    def __init__(self, *args, run, **kwargs):
        super().__init__(*args, day=run.day, **kwargs)
        del self.fields["mass"], self.fields["device"]
        seen = ["outcome", "cones", "cones_moved", "measured_kmh", "roll_deg", "wheel_lift", "driver_stops", "remark"]
        set_out(
            self,
            ("Before the run", ["aimed_kmh", "wind_mps", "gust_mps", "surface"]),
            ("The run", seen),
            ("Why it is corrected", ["reason", "sent_as"]),
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


class GoOnForm(ReasonForm):
    """A reason, and the digest of what the page showed when it was written."""

    shown = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)

    def shows(self, digest):
        """What this page shows now, whatever an earlier one did."""
        self.initial["shown"] = digest
        if self.is_bound:
            self.data = self.data.copy()
            self.data["shown"] = digest
