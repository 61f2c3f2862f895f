"""The desk's forms about an estimate and the money of a job."""

from datetime import timedelta
from decimal import Decimal

from django import forms
from django.utils import timezone
from django.utils.formats import date_format

from jobs import limits
from jobs.estimates.card_numbers import card_number_in
from jobs.estimates.money import OTHER
from jobs.models import Payment
from vehicles.layout import set_out

_DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
_MOST = Decimal("999999.99")
_STALE_PAGE = {"required": "Open this page anew.", "invalid": "Open this page anew."}


def _mark():
    return forms.UUIDField(label="This page", widget=forms.HiddenInput, error_messages=_STALE_PAGE)


class VersionForm(forms.Form):
    """What the next version says besides its lines."""

    retests = forms.IntegerField(
        label="Further test days after a failed one", min_value=0, max_value=10, initial=0, help_text="Usually none."
    )
    valid_until = forms.DateField(label="Holds until", widget=_DAY)
    because = forms.CharField(
        label="Why it changes", max_length=300, required=False, help_text="The owner reads this sentence."
    )

    def __init__(self, *args, first, **kwargs):
        super().__init__(*args, **kwargs)
        if first:
            del self.fields["because"]
        else:
            self.fields["because"].required = True
        set_out(self)

    def clean_valid_until(self):
        day, today = self.cleaned_data["valid_until"], timezone.localdate()
        if not today <= day <= today + timedelta(days=366):
            raise forms.ValidationError(f"{date_format(day)} is not within the coming year. Allowed: today or later.")
        return day


class HeardForm(forms.Form):
    """An owner's answer that was given at the desk or on the phone."""

    answer = forms.ChoiceField(label="The owner", choices=[("accept", "accepts"), ("decline", "declines")])
    name = forms.CharField(label="Who said so", max_length=120)
    note = forms.CharField(
        label="How and when", max_length=500, help_text="For example: on the phone, 25 November, 10:20."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class PaymentForm(forms.ModelForm):
    sent_as = _mark()

    class Meta:
        model = Payment
        fields = ["kind", "amount_aud", "how", "received_on", "reference"]
        labels = {"amount_aud": "Amount (AUD)", "received_on": "On"}
        help_texts = {"reference": "As on the bank statement or receipt. No card numbers."}
        widgets = {"received_on": _DAY}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["amount_aud"].min_value = Decimal("0.01")
        set_out(self)

    def clean_amount_aud(self):
        return _within(self.cleaned_data["amount_aud"], Decimal("0.01"))

    def clean_received_on(self):
        day = self.cleaned_data["received_on"]
        if day > timezone.localdate():
            raise forms.ValidationError(f"{date_format(day)} has not come yet. Allowed: today or earlier.")
        return limits.received(day)

    def clean_reference(self):
        text = self.cleaned_data["reference"]
        if card_number_in(text):
            raise forms.ValidationError("That looks like a card number; it has no place here.")
        return text


class CostForm(forms.Form):
    line = forms.ChoiceField(label="For")
    amount_aud = forms.DecimalField(
        label="Amount (AUD)",
        max_digits=10,
        decimal_places=2,
        help_text="GST included. With a minus sign it takes back a wrong entry.",
    )
    note = forms.CharField(label="Invoice or remark", max_length=200, required=False)
    sent_as = _mark()

    def __init__(self, *args, lines, **kwargs):
        super().__init__(*args, **kwargs)
        choices = [(line["key"], line["label"]) for line in lines]
        self.fields["line"].choices = [*choices, (OTHER, "Not in the estimate")]
        set_out(self)

    def clean_amount_aud(self):
        return _within(self.cleaned_data["amount_aud"], -_MOST)


def _within(amount, least):
    if not least <= amount <= _MOST or amount == 0:
        raise forms.ValidationError(f"{amount} is not usable. Allowed: {least:,.2f} to {_MOST:,.2f} AUD, not nil.")
    return amount
