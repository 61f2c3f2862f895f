"""What a price book keeps as data, as people say it."""

from decimal import Decimal, InvalidOperation

from django import template

from jobs.workshop.price_forms import FOR

register = template.Library()


@register.filter
def percent(share):
    """0.0075 → 0.75 %; empty of what is no number, as in a version written before shares were kept.

    >>> percent("0.25"), percent(0.0075), percent("0"), percent("")
    ('25 %', '0.75 %', '0 %', '')
    """
    try:
        return f"{(Decimal(str(share)) * 100).normalize():f} %"
    except InvalidOperation:
        return ""


@register.filter
def charged_for(needs):
    """In the words of the form that a line is written with.

    >>> charged_for(["driving_report", "lane_change"]), charged_for(["always"])
    ('either of the two', 'every job')
    """
    return next((said for key, said in FOR if set(key.split()) == set(needs)), ", ".join(needs))
