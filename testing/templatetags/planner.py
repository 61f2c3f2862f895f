"""How the pages of the planner write times and shares."""

from django import template
from django.utils import dateformat

register = template.Library()


@register.filter
def clock(moment, style="H:i"):
    """A moment on its own clock; Django's filter would put it on the clock of the settings."""
    return dateformat.format(moment, style) if moment else ""


@register.filter
def moment(value):
    """A moment as a form sends it back, offset and all."""
    return value.isoformat()


@register.filter
def percent(share):
    return f"{share:.0%}".replace("%", " %")


@register.filter
def duration(minutes):
    """180 as 3 h, 195 as 3 h 15 min."""
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


@register.filter
def at(rows, index):
    """The second part of the row at that place, from pairs that were made once."""
    return rows[index][1]
