"""What a date or a telephone number can be, in one place: what nobody means is refused with what is allowed."""

from datetime import timedelta

from django import forms
from django.utils import timezone

AHEAD = timedelta(days=366)
BACK = timedelta(days=3 * 366)
FEWEST_DIGITS = 8


def comes_in(moment):
    """A time at which an owner brings a vehicle: from now on, within a year."""
    now = timezone.now()
    if moment and moment < now:
        raise forms.ValidationError("That time is over. Leave it empty when the vehicle is here already.")
    if moment and moment > now + AHEAD:
        last = timezone.localtime(now + AHEAD)
        raise forms.ValidationError(
            f"{moment.year:04d} is too far off: a vehicle is booked in for a time until {last:%d/%m/%Y}."
        )
    return moment


def waits_until(day):
    """A day until which a job waits: today or later, within a year."""
    today = timezone.localdate()
    if day and not today <= day <= today + AHEAD:
        raise forms.ValidationError(f"{_said(day)} is not usable. Allowed: {_said(today)} to {_said(today + AHEAD)}.")
    return day


def received(day):
    """A day on which money came: not in the future, not older than a payment that anybody still looks for."""
    today = timezone.localdate()
    if day and not today - BACK <= day <= today:
        raise forms.ValidationError(f"{_said(day)} is not usable. Allowed: {_said(today - BACK)} to {_said(today)}.")
    return day


def _said(day):
    return f"{day.day:02d}/{day.month:02d}/{day.year:04d}"


def telephone(text):
    """A number that can be dialled has at least eight digits; blanks and signs between them are free."""
    digits = sum(char.isdecimal() for char in text)
    if text and digits < FEWEST_DIGITS:
        raise forms.ValidationError(f"“{text}” has {digits} digits; a telephone number has at least {FEWEST_DIGITS}.")
    return text
