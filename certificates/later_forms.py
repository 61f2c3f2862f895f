"""Forms for what may still happen to a certificate."""

from django import forms
from django.utils import timezone

from certificates.correction import FIELDS, current
from certificates.forms import IssueForm
from certificates.models import Certificate
from jobs import drafts
from jobs.models import Owner
from vehicles.forms import clean_identity
from vehicles.layout import set_out
from vehicles.models import Vehicle
from vehicles.signs import check_visible

_REASON = {"label": "Why", "max_length": 500, "widget": forms.Textarea(attrs={"rows": 3})}


class CorrectForm(IssueForm):
    """What is wrong on the certificate, put right, with the reason and the declaration."""

    reason = forms.CharField(**_REASON, help_text="Stands in the new certificate.")

    def __init__(self, *args, by, certificate, **kwargs):
        self.before = current(certificate.record)
        kwargs["initial"] = {**self.before, **(kwargs.get("initial") or {})}
        super().__init__(*args, by=by, **kwargs)
        for field in FIELDS:
            self.fields[field.name] = _field(field)
        signing = [name for name in ("declared", "password") if name in self.fields]
        set_out(
            self,
            ("What is corrected", [field.name for field in FIELDS]),
            ("Reason", ["reason"]),
            ("Declaration of the signatory", signing),
        )

    def clean_plate(self):
        return clean_identity(self.cleaned_data["plate"])

    def clean_vin(self):
        given = clean_identity(self.cleaned_data["vin"])
        if self.before["vin"] and not given:
            raise forms.ValidationError(
                f"Empty is not usable: the certificate speaks of VIN {self.before['vin']}. Allowed: the right VIN."
            )
        return given

    def clean_chassis_number(self):
        given = self.cleaned_data["chassis_number"].upper()
        if self.before["chassis_number"] and not (given or self.before["vin"]):
            raise forms.ValidationError("Empty is not usable: nothing else says which vehicle this is.")
        return given

    def _check(self, field, value):
        # The rules of the vehicle itself, for the value as it is kept and not as it was typed.
        try:
            Vehicle._meta.get_field(field.key).run_validators(value)
        except forms.ValidationError as wrong:
            self.add_error(field.name, wrong)

    @property
    def changes(self):
        given = {field.name: self.cleaned_data.get(field.name) for field in FIELDS}
        return {name: value for name, value in given.items() if (value or None) != (self.before[name] or None)}

    def clean(self):
        cleaned = super().clean()
        for field in FIELDS:
            if field.group == "vehicle" and (value := cleaned.get(field.name)):
                self._check(field, value)
        if not self.errors and not self.changes:
            raise forms.ValidationError("Nothing is different from the certificate: there is nothing to correct.")
        return cleaned


def _field(field):
    if field.name == "owner_name":
        made = Owner._meta.get_field("name").formfield()
    elif field.group == "vehicle":
        made = Vehicle._meta.get_field(field.key).formfield()
    else:
        made = forms.CharField(required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 4}))
    made.label = field.title
    return made


def mark():
    """Tells a form that is sent twice from two forms."""
    return forms.UUIDField(
        widget=forms.HiddenInput, error_messages={"required": "Reload this page.", "invalid": "Reload this page."}
    )


class SupersedeForm(forms.Form):
    """The certificate of a later job that takes this one's place."""

    successor = forms.CharField(
        label="Number of the certificate that takes its place",
        max_length=60,
        help_text="Of the same vehicle, issued for a job of its own.",
    )
    reason = forms.CharField(**_REASON)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_successor(self):
        number = self.cleaned_data["successor"].strip().upper()
        if found := Certificate.objects.filter(number=number).first():
            return found
        raise forms.ValidationError(f"“{number}” is no number of the register. Allowed: one that is listed there.")


class WithdrawForm(forms.Form):
    never_kept = drafts.never("understood")

    reason = forms.CharField(**_REASON, help_text="The owner reads this; the public page does not show it.")
    understood = forms.BooleanField(
        label="The certificate shall no longer stand. This cannot be undone.",
        error_messages={"required": "Tick this: a withdrawal cannot be undone."},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class TransferForm(forms.Form):
    new_owner = forms.CharField(label="New owner's name", max_length=120, validators=[check_visible])
    on = forms.DateField(
        label="Changed hands on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "This is no date. Allowed: a day such as 2026-03-04."},
    )
    evidence = forms.CharField(label="Seen as evidence", max_length=200, help_text="Such as the transfer papers.")
    email = forms.EmailField(
        label="New owner's e-mail", required=False, help_text="They are told here if the certificate falls."
    )
    phone = forms.CharField(label="New owner's telephone", required=False, max_length=30)
    sent_as = mark()

    def __init__(self, *args, issued_on, **kwargs):
        self.issued_on = issued_on
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_on(self):
        on = self.cleaned_data["on"]
        if on < self.issued_on:
            raise forms.ValidationError(
                f"{on:%d/%m/%Y} lies before the certificate was issued; allowed is {self.issued_on:%d/%m/%Y} to today."
            )
        if on > timezone.localdate():
            raise forms.ValidationError(f"{on:%d/%m/%Y} lies ahead; allowed is today or earlier.")
        return on
