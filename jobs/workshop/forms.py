"""The forms of the workshop's settings."""

from django import forms
from django.utils.formats import date_format

from jobs.messages import wording
from jobs.models import Authority, MessageText, Workshop
from jobs.steps import all_steps
from jobs.workshop.signatories import who_may_sign
from vehicles import uploads
from vehicles.calculations.identity import check_abn
from vehicles.layout import set_out
from vehicles.models import PLATE_STATES

_DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
_LOGO_MB = 2
_MOST_DAYS = 366 * 20
_LONGEST_STEP = 366
_NUMBERS = {"estimate_days": (1, 366, "days"), "link_days": (1, 1096, "days"), "retention_years": (1, 100, "years")}


class WorkshopForm(forms.ModelForm):
    class Meta:
        model = Workshop
        fields = [
            "name", "address", "phone", "email", "abn", "web_address", "home_jurisdiction",
            "terms", "estimate_days", "link_days", "retention_years",
        ]  # fmt: skip
        widgets = {"terms": forms.Textarea(attrs={"rows": 10})}
        help_texts = {
            "home_jurisdiction": "Booking in starts from it. Left empty, it is asked for each vehicle.",
            "abn": "11 digits; the check sum is verified.",
            "link_days": "Counted from the closing of the job; while it is open its link works.",
            "retention_years": "From closing or the last certificate. Old files says what goes then and what stays.",
        }

    # A longer box than the column: blanks are put where they belong before the length counts.
    abn = forms.CharField(label="ABN", max_length=30)
    web_address = forms.URLField(
        label="Address of this site",
        required=False,
        max_length=200,
        assume_scheme="https",
        help_text="As owners reach this site: https://job-book.example. It stands in e-mails and on papers.",
    )
    new_logo = forms.FileField(
        label="Logo",
        required=False,
        help_text=f"PNG, JPEG or WebP, at most {_LOGO_MB} MB. Empty keeps the one there is.",
    )
    no_logo = forms.BooleanField(label="Without a logo", required=False)
    logo_seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["home_jurisdiction"].choices = [("", "Asked each time"), *PLATE_STATES]
        self.fields["abn"].help_text = self.Meta.help_texts["abn"]
        for name, (low, high, unit) in _NUMBERS.items():
            field = self.fields[name]
            field.min_value, field.max_value, field.unit = low, high, unit
            field.widget.attrs |= {"min": low, "max": high}
        set_out(
            self,
            ("Workshop", ["name", "address", "phone", "email", "abn", "web_address", "home_jurisdiction"]),
            ("Logo", ["new_logo", "no_logo", "logo_seen"]),
            ("Estimates", ["terms", "estimate_days"]),
            ("Owners' links and files", ["link_days", "retention_years"]),
            ("Days before a job is late", self._add_days()),
        )

    def _add_days(self):
        """A number for each step; nobody names the steps here, the apps do."""
        kept = self.initial.get("step_days") or {}
        for step in all_steps():
            self.fields[f"days_{step.key}"] = forms.IntegerField(
                label=step.title,
                required=False,
                initial=kept.get(step.key, step.days),
                min_value=1,
                max_value=_LONGEST_STEP,
                help_text=f"Left empty: {step.days}.",
                error_messages=dict.fromkeys(("min_value", "max_value"), f"Allowed: 1 to {_LONGEST_STEP} days."),
            )
            self.fields[f"days_{step.key}"].unit = "days"
        return [f"days_{step.key}" for step in all_steps()]

    def clean_abn(self):
        checked = check_abn(self.cleaned_data["abn"])
        if not checked.usable:
            raise forms.ValidationError(f"“{self.cleaned_data['abn']}”: {checked.errors[0]}.")
        return checked.text

    def clean_new_logo(self):
        if not (upload := self.cleaned_data["new_logo"]):
            return None
        if upload.size > _LOGO_MB * 1_000_000:
            raise forms.ValidationError(
                f"“{uploads.plain_name(upload.name)}” has {upload.size / 1e6:.1f} MB; allowed are {_LOGO_MB} MB."
            )
        try:
            self.logo_type = uploads.recognise(upload, photo=True)
        except uploads.Refused as error:
            raise forms.ValidationError(str(error)) from error
        return upload

    def refuse_logo_of_another(self, seen, stored):
        """A file carries nothing of what stood there before: the page says by name which logo it showed."""
        touched = self.files.get("new_logo") or self.data.get("no_logo")
        if touched and seen is not None and seen != (stored or ""):
            self.add_error(
                "new_logo",
                "Somebody changed the logo since you opened this page; theirs stands above. Choose yours again, or "
                "leave theirs, and save.",
            )

    def clean(self):
        cleaned = super().clean()
        days = {step.key: cleaned.get(f"days_{step.key}") for step in all_steps()}
        cleaned["step_days"] = {key: number for key, number in days.items() if number}
        for name, (low, high, unit) in _NUMBERS.items():
            number = cleaned.get(name)
            if number is not None and not low <= number <= high:
                self.add_error(name, f"{number} is not usable. Allowed: {low} to {high} {unit}.")
        return cleaned


class AuthorityForm(forms.ModelForm):
    class Meta:
        model = Authority
        fields = ["user", "jurisdiction", "number", "valid_from", "valid_to"]
        labels = {"user": "Signatory", "jurisdiction": "Signs for", "valid_to": "Valid until"}
        help_texts = {"number": "As issued by the registration authority."}
        widgets = {"valid_from": _DAY, "valid_to": _DAY}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["user"].queryset = who_may_sign()
        self.fields["user"].label_from_instance = lambda user: user.full_name
        set_out(self)

    def clean(self):
        cleaned = super().clean()
        begins, ends = cleaned.get("valid_from"), cleaned.get("valid_to")
        if begins and ends and not 0 <= (ends - begins).days <= _MOST_DAYS:
            self.add_error(
                "valid_to", f"{date_format(ends)} is not within 20 years from {date_format(begins)}, the first day."
            )
        return cleaned


class MessageForm(forms.Form):
    """A wording. What stands in braces is filled in when the message is written."""

    subject = forms.CharField(label="Subject", max_length=MessageText._meta.get_field("subject").max_length)
    body = forms.CharField(label="Text", max_length=8000, widget=forms.Textarea(attrs={"rows": 14}))

    def __init__(self, *args, event, **kwargs):
        super().__init__(*args, **kwargs)
        self.event = event
        set_out(self)

    def _checked(self, name):
        text = self.cleaned_data[name]
        if strange := wording.strange_places(text, self.event.known):
            named = ", ".join(f"{{{place}}}" for place in strange)
            allowed = ", ".join(f"{{{place}}}" for place in self.event.known)
            raise forms.ValidationError(f"{named} cannot be filled in. Allowed: {allowed}.")
        return text

    def clean_subject(self):
        return self._checked("subject")

    def clean_body(self):
        return self._checked("body")

    def preview(self):
        """(subject, text) with the samples filled in, of whatever stands in the form now."""
        return tuple(
            wording.fill(self.data.get(name) or self.initial.get(name, ""), self.event.known)
            for name in ("subject", "body")
        )
