"""Shares as people say them."""

from decimal import Decimal, InvalidOperation

from django import template

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
