"""The forms of the front desk."""

from django import forms
from django.urls import reverse
from django.utils.html import format_html_join

from jobs import limits, services, steps
from jobs.models import Ending, Job, Owner, Waiting, Workshop
from vehicles.calculations.identity import check_vin
from vehicles.forms import clean_identity
from vehicles.layout import set_out
from vehicles.models import PLATE_STATES, Vehicle
from vehicles.signs import check_visible

CLOCK = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class OwnerForm(forms.ModelForm):
    """Whom to ring and where to write."""

    class Meta:
        model = Owner
        fields = ["name", "phone", "email"]
        labels = {"name": "Owner's name", "email": "E-mail"}
        widgets = {"phone": forms.TextInput(attrs={"type": "tel"})}

    def clean_phone(self):
        # A number that was written down before there was a rule does not stop another change.
        phone = self.cleaned_data["phone"]
        return limits.telephone(phone) if "phone" in self.changed_data else phone

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            # The desk's own browser would offer the owner of yesterday.
            field.widget.attrs["autocomplete"] = "off"
        self.fields["name"].validators.append(check_visible)
        set_out(self)


class ComingInForm(forms.ModelForm):
    """When the vehicle comes in and whose rules apply, as it turned out after booking in."""

    class Meta:
        model = Job
        fields = ["expected_at", "jurisdiction"]
        labels = {"expected_at": "Comes in", "jurisdiction": "Registered in"}
        help_texts = {
            "expected_at": "Empty when the vehicle is here already.",
            "jurisdiction": "Whose rules apply to the certificate.",
        }
        widgets = {"expected_at": CLOCK}

    def __init__(self, *args, fixed, **kwargs):
        super().__init__(*args, **kwargs)
        # Disabled, not left out: what the job stands under stays to be read.
        self.fields["jurisdiction"].disabled = bool(fixed)
        set_out(self)

    def clean_expected_at(self):
        moment = self.cleaned_data["expected_at"]
        return limits.comes_in(moment) if "expected_at" in self.changed_data else moment


def _job_of(number):
    return Job.objects.with_people().filter(number=number).first() if number else None


class OpenJobForm(OwnerForm):
    """The first page of booking in: enough to open a file while the owner is at the counter.

    ``owner_of`` and ``vehicle_of`` are numbers of earlier jobs: that owner, that vehicle is back.
    """

    jurisdiction = forms.ChoiceField(
        label="Registered in",
        choices=[("", "Choose"), *PLATE_STATES],
        help_text="Whose rules apply to the certificate.",
    )
    make = Vehicle._meta.get_field("make").formfield()
    model = Vehicle._meta.get_field("model").formfield()
    plate = forms.CharField(label="Plate", max_length=12, required=False)
    vin = forms.CharField(
        label="VIN", max_length=30, required=False, help_text="17 characters, from the plate or the papers."
    )
    expected_at = forms.DateTimeField(
        label="Comes in",
        required=False,
        widget=CLOCK,
        help_text="Only for a booking by telephone: when the owner brings the vehicle.",
    )
    again = forms.BooleanField(label="A second job on the same vehicle", required=False, widget=forms.HiddenInput)
    owner_of = forms.CharField(max_length=12, required=False, widget=forms.HiddenInput)
    vehicle_of = forms.CharField(max_length=12, required=False, widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("make", "model", "plate", "vin"):
            self.fields[name].widget.attrs["autocomplete"] = "off"
        self.fields["name"].widget.attrs["autofocus"] = True
        self.fields["jurisdiction"].initial = Workshop.current().home_jurisdiction
        set_out(
            self,
            ("Owner", ["name", "phone", "email"]),
            (
                "Vehicle",
                ["plate", "vin", "make", "model", "jurisdiction", "expected_at", "again", "owner_of", "vehicle_of"],
            ),
        )

    def clean_plate(self):
        plate = clean_identity(self.cleaned_data["plate"])
        if len(plate) > 10:
            raise forms.ValidationError(f"“{plate}” has {len(plate)} characters; a plate has at most 10.")
        return plate

    def clean_vin(self):
        if not self.cleaned_data["vin"]:
            return ""
        checked = check_vin(self.cleaned_data["vin"])
        if checked.errors:
            raise forms.ValidationError([f"“{checked.text}”: {error}." for error in checked.errors])
        return checked.text

    def clean_expected_at(self):
        return limits.comes_in(self.cleaned_data["expected_at"])

    def clean(self):
        cleaned = super().clean()
        if not cleaned.get("phone") and not cleaned.get("email") and "email" not in self.errors:
            self.add_error("phone", "Enter a phone number or an e-mail: somebody has to be told the day.")
        back = _job_of(cleaned.get("owner_of"))
        # Another name is another owner, whoever was chosen before it was typed over.
        self.known_owner = back.owner if back and back.owner.name == cleaned.get("name") else None
        back = _job_of(cleaned.get("vehicle_of"))
        same = back and back.vehicle.plate == cleaned.get("plate") and back.vehicle.vin == cleaned.get("vin")
        self.copied_from = back.vehicle if same else None
        if not self.errors and not cleaned.get("again"):
            self._look_for_open_jobs(cleaned)
        return cleaned

    def _look_for_open_jobs(self, cleaned):
        opened = services.open_jobs_of(vin=cleaned["vin"], plate=cleaned["plate"])[:5]
        if links := [(reverse("jobs:job", args=[job.number]), job.number, str(job.vehicle)) for job in opened]:
            self.fields["again"].widget = forms.CheckboxInput()
            listed = format_html_join(", ", '<a href="{}">{}</a> ({})', links)
            self.add_error("again", format_html_join("", "{}{}{}", [(
                "A job is open for this plate or VIN: ", listed,
                ". Go on with that one, or tick here and open a second.",
            )]))  # fmt: skip


class WaitingForm(forms.ModelForm):
    """Whom a job waits for, for what, and until when."""

    class Meta:
        model = Waiting
        fields = ["who", "what", "until"]
        labels = {"who": "Waits for", "what": "For what", "until": "Until"}
        help_texts = {
            "what": "For example: kit approval from the maker of the springs.",
            "until": "After that day it counts as late.",
        }
        widgets = {"until": DAY}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["who"].choices = [(who, who.capitalize()) for who in reversed(steps.ACTORS)]
        set_out(self)

    def clean_until(self):
        return limits.waits_until(self.cleaned_data["until"])


class EndingForm(forms.Form):
    """Why a job is closed without a certificate."""

    reason = forms.ChoiceField(
        label="Because", choices=[("", "Choose a reason"), *Ending.Reason.choices], widget=forms.Select
    )
    words = forms.CharField(
        label="In words",
        max_length=200,
        required=False,
        help_text="For the file. The owner reads the reason above, not these words.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("reason") == Ending.Reason.OTHER and not cleaned.get("words") and "words" not in self.errors:
            self.add_error("words", "“Another reason” says nothing yet: write down which.")
        return cleaned


class OpenAgainForm(forms.Form):
    """Why a job that was closed without a certificate is taken up again."""

    reason = forms.CharField(label="Why is it opened again", max_length=150)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class SetAsideForm(forms.Form):
    """Why a photo or paper no longer speaks for the vehicle."""

    reason = forms.CharField(
        label="Why is it set aside", max_length=150, help_text="For example: shows another vehicle."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class SendBackForm(forms.Form):
    """Why a job returns to an earlier step."""

    reason = forms.CharField(label="Why does it go back", max_length=150)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)
