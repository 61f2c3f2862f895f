"""Forms about what is loaded, what is let pass, what is measured and what is driven again."""

from django import forms
from django.utils import timezone

from testing.testday import loading
from testing.testday.models import Loading
from vehicles.calculations.ranges import VEHICLE, Range
from vehicles.fields import QuantityField
from vehicles.layout import set_out

AT_A_PLACE = Range(name="kg", label="Mass", low=-500, high=5000, unit="kg")
ANGLE = Range(name="angle_deg", label="Angle of roll that stops the climb", low=1, high=45, unit="°")
_STALE_PAGE = {"required": "Reload the day sheet.", "invalid": "Reload the day sheet."}


class LoadingForm(forms.Form):
    """What really is aboard, place by place; the axles as weighed."""

    front_kg = QuantityField(row=VEHICLE["front_axle_kg"], required=False, label="Front axle, weighed now")
    rear_kg = QuantityField(row=VEHICLE["rear_axle_kg"], required=False, label="Rear axle, weighed now")
    restrained = forms.BooleanField(
        label="Everything aboard is restrained",
        required=False,
        help_text="Must hold 0.8 g forward, 0.5 g sideways and rearward: nothing moves in a lane change.",
    )
    remark = forms.CharField(
        label="Remark",
        required=False,
        max_length=Loading._meta.get_field("remark").max_length,
        help_text="Weighbridge ticket, scales, how it is secured.",
    )
    sent_as = forms.UUIDField(widget=forms.HiddenInput, error_messages=_STALE_PAGE)

    def __init__(self, *args, day, mass, **kwargs):
        super().__init__(*args, **kwargs)
        self.plan = loading.plan(day, mass)
        for item in self.plan:
            self.fields[f"place_{item.key}"] = QuantityField(
                row=AT_A_PLACE, label=item.title, help_text=f"Planned: {item.kg:,.1f} kg", initial=round(item.kg, 1)
            )
        places = [f"place_{item.key}" for item in self.plan]
        set_out(
            self,
            ("Really loaded", places),
            ("Weighed", ["front_kg", "rear_kg"]),
            ("Secured", ["restrained", "remark", "sent_as"]),
        )

    def clean(self):
        cleaned = super().clean()
        if (cleaned.get("front_kg") is None) != (cleaned.get("rear_kg") is None) and not self.errors:
            name = "front_kg" if cleaned.get("front_kg") is None else "rear_kg"
            self.add_error(name, "Weigh both axles, or leave both empty: then the mass is computed.")
        cleaned["places"] = {item.key: cleaned.get(f"place_{item.key}") or 0.0 for item in self.plan}
        return cleaned

    def said(self):
        names = ("places", "front_kg", "rear_kg", "restrained", "remark", "sent_as")
        return {name: self.cleaned_data[name] for name in names}


class StopForm(forms.Form):
    """Anybody's word that stops the climb."""

    reason = forms.CharField(label="What is wrong", max_length=300, widget=forms.Textarea(attrs={"rows": 3}))
    sent_as = forms.UUIDField(widget=forms.HiddenInput, error_messages=_STALE_PAGE)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class RollLimitForm(forms.Form):
    """The engineer's angle for this vehicle."""

    angle_deg = QuantityField(row=ANGLE)
    reason = forms.CharField(label="Reason", max_length=300, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class SettleForm(forms.Form):
    """The engineer's ruling on what two sources say differently."""

    def __init__(self, *args, item, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["ruling"] = forms.ChoiceField(label="Ruling", choices=item.rulings, widget=forms.RadioSelect)
        self.fields["reason"] = forms.CharField(
            label="Reason", max_length=150, widget=forms.Textarea(attrs={"rows": 3}), help_text="Stays on the record."
        )
        set_out(self)


class RetestForm(forms.Form):
    """After a day that did not pass."""

    changed = forms.CharField(
        label="What was changed, and why it will go better",
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    vehicle_changed = forms.BooleanField(
        label="Something of the vehicle was changed", required=False, help_text="Then everything is driven again."
    )
    mass_changed = forms.BooleanField(
        label="The test masses change", required=False, help_text="Other driver, other load: everything again."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class MustChangeForm(forms.Form):
    """What the owner reads after a test that was not passed."""

    text = forms.CharField(
        label="What has to change",
        max_length=500,
        help_text="In plain words; it goes to the owner by e-mail and stands on their page.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class MeasurementForm(forms.Form):
    """The sheet of one measured procedure, made from its data."""

    measured_on = forms.DateField(
        label="Measured on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    instrument = forms.CharField(label="Instrument and serial number", max_length=120)
    calibrated_until = forms.DateField(
        label="In calibration until", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )

    def __init__(self, *args, kind, job, **kwargs):
        super().__init__(*args, **kwargs)
        self.kind, self.job = kind, job
        self.names = []
        for row, required in kind.fields:
            self.fields[row.name] = QuantityField(row=row, required=required)
            self.names.append(row.name)
        self.fields["remark"] = forms.CharField(
            label="Remark", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 3})
        )
        set_out(
            self,
            ("Instrument", ["measured_on", "instrument", "calibrated_until"]),
            ("Measured", self.names),
            ("", ["remark"]),
        )

    def clean_measured_on(self):
        day, today = self.cleaned_data["measured_on"], timezone.localdate()
        opened = timezone.localdate(self.job.created_at)
        if not opened <= day <= today:
            raise forms.ValidationError(
                f"{day:%d/%m/%Y} is not usable. Allowed: from {opened:%d/%m/%Y}, when the file was opened, to today."
            )
        return day

    def said(self):
        values = {name: self.cleaned_data[name] for name in self.names}
        values |= self.kind.facts(self.job)
        kept = ("measured_on", "instrument", "calibrated_until", "remark")
        return {**{name: self.cleaned_data[name] for name in kept}, "values": values}
